"""The same work by VTK on one thread: read a binary PLY, cut it by 50 planes. Prints JSON. Debian's python3-vtk9."""
import json
import sys
import time

import vtk

vtk.vtkSMPTools.SetBackend("Sequential")


def read(file):
    reader = vtk.vtkPLYReader()
    reader.SetFileName(file)
    reader.Update()
    return reader.GetOutput()


def cut_one_by_one(mesh, levels):
    """One cutter, its plane moved from level to level: fifty sections, each by itself."""
    total = 0
    plane = vtk.vtkPlane()
    plane.SetNormal(0, 1, 0)
    cutter = vtk.vtkCutter()
    cutter.SetInputData(mesh)
    cutter.SetCutFunction(plane)
    for level in levels:
        plane.SetOrigin(0, level, 0)
        cutter.Update()
        total += cutter.GetOutput().GetNumberOfLines()
    return total


def cut_at_once(mesh, levels):
    """One cutter, all levels as values of one plane function: faster, but the sections come out in one heap."""
    plane = vtk.vtkPlane()
    plane.SetNormal(0, 1, 0)
    plane.SetOrigin(0, 0, 0)
    cutter = vtk.vtkCutter()
    cutter.SetInputData(mesh)
    cutter.SetCutFunction(plane)
    for k, level in enumerate(levels):
        cutter.SetValue(k, level)
    cutter.Update()
    return cutter.GetOutput().GetNumberOfLines()


def main():
    file, runs = sys.argv[1], int(sys.argv[2])
    start = time.perf_counter()
    mesh = read(file)
    read_ms = (time.perf_counter() - start) * 1000
    low, high = mesh.GetBounds()[2:4]
    levels = [low + (high - low) * (0.01 + 0.98 * k / 49) for k in range(50)]
    result = {"read": read_ms, "triangles": mesh.GetNumberOfPolys(), "version": vtk.vtkVersion.GetVTKVersion()}
    for name, work in (("one by one", cut_one_by_one), ("at once", cut_at_once)):
        times = []
        for _ in range(runs):
            start = time.perf_counter()
            result[name + " lines"] = work(mesh, levels)
            times.append((time.perf_counter() - start) * 1000)
        result[name] = min(times)
    print(json.dumps(result))


main()
