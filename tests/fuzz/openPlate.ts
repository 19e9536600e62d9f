/** ASCII PLY of a flat plate with one round hole of so many edges, its rim short enough to be closed. */
export function openPlate(edges: number): string {
  const points: string[] = [];
  const faces: string[] = [];
  for (let k = 0; k < edges; k++) {
    const angle = (2 * Math.PI * k) / edges;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    // A saw of a rim: no three corners in line, ears of every size.
    const inner = 0.8 + 0.02 * (k % 2) + 0.005 * (k % 5);
    points.push(`${(inner * c).toFixed(6)} ${(inner * s).toFixed(6)} 0`, `${60 * c} ${60 * s} ${k % 2}`);
  }
  for (let k = 0; k < edges; k++) {
    const [a, b] = [2 * k, (2 * k + 2) % (2 * edges)];
    faces.push(`3 ${a} ${a + 1} ${b + 1}`, `3 ${a} ${b + 1} ${b}`);
  }
  return (
    `ply\nformat ascii 1.0\nelement vertex ${points.length}\nproperty float x\nproperty float y\nproperty float z\n` +
    `element face ${faces.length}\nproperty list uchar int vertex_indices\nend_header\n${points.join('\n')}\n${faces.join('\n')}\n`
  );
}
