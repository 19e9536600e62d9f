import bunny from 'bunny';
import { describe, expect, test } from 'vitest';
import { readSound } from '../intake/support/read.ts';
import {
  facesOf,
  meshOf,
  moved,
  surfaceKey,
  together,
  turned,
  volumeOf,
  without,
} from '../intake/support/shapes.ts';
import { writePlyBinary } from '../intake/support/writePly.ts';
import { writeStlBinary } from '../intake/support/writeStl.ts';
import { askPython } from './python.ts';

const whole = meshOf(bunny.positions.flat().map(Math.fround), bunny.cells);
/** Holes of all kinds, some touching, and a second, smaller piece. */
const torn = together(
  without(whole, (t) => t % 11 === 3 || bunny.cells[t].some((v) => bunny.positions[v][1] < 0.5)),
  moved(whole, 0.25, [20, 0, 0]),
);

const POLYDATA = `
import base64, os, tempfile
import vtk
from vtk.util.numpy_support import numpy_to_vtk
import numpy as np

def polydata(mesh):
    points = vtk.vtkPoints()
    points.SetDataTypeToFloat()
    for p in mesh["points"]:
        points.InsertNextPoint(p)
    cells = vtk.vtkCellArray()
    for face in mesh["faces"]:
        cells.InsertNextCell(len(face), face)
    out = vtk.vtkPolyData()
    out.SetPoints(points)
    out.SetPolys(cells)
    return out
`;

const asData = (mesh: { positions: Float64Array; triangles: Uint32Array }) => ({
  points: Array.from({ length: mesh.positions.length / 3 }, (_, v) =>
    Array.from(mesh.positions.subarray(3 * v, 3 * v + 3)),
  ),
  faces: facesOf(mesh),
});

describe('files that VTK writes', () => {
  const files = askPython<Record<string, string>>(
    `${POLYDATA}
mesh = polydata(data)
colours = np.tile(np.arange(len(data["points"]), dtype=np.uint8)[:, None], (1, 3))
array = numpy_to_vtk(colours, deep=True, array_type=vtk.VTK_UNSIGNED_CHAR)
array.SetName("colours")
out = {}
folder = tempfile.mkdtemp()
def keep(name, writer):
    path = os.path.join(folder, name)
    writer.SetFileName(path)
    writer.Write()
    out[name] = base64.b64encode(open(path, "rb").read()).decode()
for kind in ("ASCII", "Binary"):
    ply = vtk.vtkPLYWriter(); ply.SetInputData(mesh); getattr(ply, "SetFileTypeTo" + kind)()
    keep("plain " + kind + ".ply", ply)
    stl = vtk.vtkSTLWriter(); stl.SetInputData(mesh); getattr(stl, "SetFileTypeTo" + kind)()
    keep(kind + ".stl", stl)
    coloured = vtk.vtkPolyData(); coloured.ShallowCopy(mesh); coloured.GetPointData().SetScalars(array)
    for order in ("LittleEndian", "BigEndian"):
        ply = vtk.vtkPLYWriter(); ply.SetInputData(coloured); getattr(ply, "SetFileTypeTo" + kind)()
        getattr(ply, "SetDataByteOrderTo" + order)(); ply.SetArrayName("colours")
        keep("coloured " + kind + " " + order + ".ply", ply)
obj = vtk.vtkOBJWriter(); obj.SetInputData(mesh); keep("plain.obj", obj)
renderer = vtk.vtkRenderer(); window = vtk.vtkRenderWindow(); window.SetOffScreenRendering(1); window.AddRenderer(renderer)
mapper = vtk.vtkPolyDataMapper(); mapper.SetInputData(mesh)
actor = vtk.vtkActor(); actor.SetMapper(mapper); renderer.AddActor(actor)
gltf = vtk.vtkGLTFExporter(); gltf.SetRenderWindow(window); gltf.InlineDataOn(); keep("inline.gltf", gltf)
print(json.dumps(out))`,
    asData(whole),
  );

  test.each(Object.entries(files))('%s', (name, base64) => {
    const scan = readSound(Buffer.from(base64, 'base64'), { unit: 'cm' });
    expect(scan.closed).toBe(true);
    expect(scan.repair).toMatchObject({
      trianglesRead: bunny.cells.length,
      trianglesFlipped: 0,
      duplicateDropped: 0,
    });
    // VTK writes six digits as text, all of single precision otherwise.
    if (/ascii|obj/i.test(name)) expect(volumeOf(scan.mesh) / volumeOf(moved(whole, 10))).toBeCloseTo(1, 5);
    else expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(moved(whole, 10)));
  });
});

test('open edges, pieces, areas and volumes are those that VTK counts', () => {
  const meshes = [whole, torn, turned(whole, (t) => t % 3 === 0), without(torn, (t) => t % 5 === 0)];
  const answers = askPython<
    { open: number; nonManifold: number; pieces: number; area: number; volume: number }[]
  >(
    `${POLYDATA}
out = []
for item in data:
    mesh = polydata(item)
    def edges(kind):
        feature = vtk.vtkFeatureEdges(); feature.SetInputData(mesh)
        feature.BoundaryEdgesOff(); feature.FeatureEdgesOff(); feature.NonManifoldEdgesOff(); feature.ManifoldEdgesOff()
        getattr(feature, kind + "EdgesOn")(); feature.Update()
        return feature.GetOutput().GetNumberOfLines()
    pieces = vtk.vtkPolyDataEdgeConnectivityFilter(); pieces.SetInputData(mesh); pieces.SetExtractionModeToAllRegions(); pieces.Update()
    mass = vtk.vtkMassProperties(); mass.SetInputData(mesh); mass.Update()
    out.append({"open": edges("Boundary"), "nonManifold": edges("NonManifold"), "pieces": pieces.GetNumberOfExtractedRegions(),
                "area": mass.GetSurfaceArea(), "volume": mass.GetVolume()})
print(json.dumps(out))`,
    meshes.map(asData),
  );
  meshes.forEach((mesh, i) => {
    for (const bytes of [writePlyBinary(mesh), writeStlBinary(mesh)]) {
      const scan = readSound(bytes, { unit: 'cm', holeLimit: 0 });
      expect(scan.repair.componentsFound).toBe(answers[i].pieces);
      expect(scan.repair.nonManifoldEdges).toBe(answers[i].nonManifold);
      expect(scan.closed).toBe(answers[i].open === 0);
    }
  });
  // The one mesh that is closed and wound alike has a volume that VTK can be asked for.
  const scan = readSound(writePlyBinary(meshes[2]), { unit: 'mm' });
  expect(volumeOf(scan.mesh) / answers[0].volume).toBeCloseTo(1, 6);
});

test('the rims of holes add up to the length of VTK’s boundary edges', () => {
  const open = without(whole, (t) => t % 17 === 3);
  const [rims, lines] = askPython<[number, number]>(
    `${POLYDATA}
feature = vtk.vtkFeatureEdges(); feature.SetInputData(polydata(data))
feature.BoundaryEdgesOn(); feature.FeatureEdgesOff(); feature.NonManifoldEdgesOff(); feature.ManifoldEdgesOff(); feature.Update()
strips = vtk.vtkStripper(); strips.SetInputData(feature.GetOutput()); strips.SetMaximumLength(100000); strips.Update()
print(json.dumps([strips.GetOutput().GetNumberOfLines(), feature.GetOutput().GetNumberOfLines()]))`,
    asData(open),
  );
  const scan = readSound(writePlyBinary(open), { unit: 'cm', holeLimit: 3 });
  expect(scan.repair.componentsFound).toBe(1);
  // Each rim of n edges is filled by n − 2 triangles.
  const added = scan.mesh.triangles.length / 3 - open.triangles.length / 3;
  expect(added).toBe(lines - 2 * scan.repair.holesClosed);
  expect(scan.repair.holesClosed).toBeGreaterThanOrEqual(rims);
});
