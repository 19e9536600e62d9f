import type { PieceGroup } from './groups.ts';
import { marksPath } from './marks.ts';

/** Which mark and colour is which group. Drawn inside the picture, so that a saved one has it. */
export function Legend({ groups, x, y }: { groups: readonly PieceGroup[]; x: number; y: number }) {
  if (groups.length < 2) return null;
  let at = x;
  return (
    <g>
      {groups.map(({ name, which }, i) => {
        const left = at;
        const text = `${name} (${which.length})`;
        // About the width of the text: it is set by the browser, which a saved picture has not.
        at += 26 + text.length * 6.6;
        return (
          <g key={name}>
            <path className={`mark fill-${i}`} d={marksPath(i, [left + 5], [y - 4], 5)} />
            <text x={left + 15} y={y}>
              {text}
            </text>
          </g>
        );
      })}
    </g>
  );
}
