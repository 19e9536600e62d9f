import type { View } from './useView.ts';

/** SVG path of rings, or of lines when not closed, given in the photograph's pixels. */
export function ringPath(rings: readonly ArrayLike<number>[], view: View, closed = true): string {
  let path = '';
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const [x, y] = view.toScreen(ring[i], ring[i + 1]);
      path += `${i === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`;
    }
    if (closed) path += 'Z';
  }
  return path;
}
