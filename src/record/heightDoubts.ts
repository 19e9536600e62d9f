import type { Warning } from '../geometry/types.ts';
import type { CameraStand, PhotoScale } from '../intake/photoTypes.ts';
import { swayMoves } from '../measures/swayError.ts';
import type { TracedPhoto } from '../trace/tracePhoto.ts';

/** What is promised of photographs: lengths to this share, outlines to this many mm (root mean square). */
const [PROMISED_LENGTH, PROMISED_OUTLINE] = [0.003, 0.1];

/**
 * Where the height of the margin over a mat leaves more open than is promised of lengths and outlines, and what would help: a
 * height that nothing but the width tells (at two standard uncertainties of a length), a margin that need not lie half-way up (at
 * one), and one that was seen aslant, which winds and leans by nobody knows what (at the outline's expected distance).
 */
export function heightDoubts(
  { model, marginHeight }: TracedPhoto,
  { camera }: Pick<PhotoScale, 'camera'>,
): Warning[] {
  if (camera === undefined || marginHeight.u === 0) return [];
  const { value, u, from } = marginHeight;
  const warnings: Warning[] = [];
  const share = u / (camera.height - value);
  const height = `(${value.toFixed(1)} ± ${u.toFixed(1)} mm): for that alone lengths are known to ${(100 * share).toFixed(1)} % only`;
  if (from.includes('width') && 2 * share > PROMISED_LENGTH) {
    warnings.push({
      code: 'margin-height-guessed',
      text: `How high the margin stands over the mat was guessed from the width ${height}. Tell the thickness or add a view edge-on over the mat; from farther away it matters less.`,
    });
  } else if (share > PROMISED_LENGTH) {
    const help = from.includes('faces') ? '' : ' Add Face B over the mat, which tells where;';
    warnings.push({
      code: 'margin-height-open',
      text: `The margin was taken to stand half the thickness over the mat ${height}.${help} ${help === '' ? 'From' : 'from'} farther away it matters less.`,
    });
  }
  const off = swayOfOutline(model);
  if (off > PROMISED_OUTLINE) {
    warnings.push({
      code: 'margin-aslant',
      text: `Parts of the margin were seen up to ${mostAslant(model, camera).toFixed(0)}° aslant: as it winds up and down the outline may lie off by ${off.toFixed(2)} mm. From straight above and farther away it is seen less so.`,
    });
  }
  return warnings;
}

/** How far the outline may lie off square to itself, by the winding and the lean of the margin: expected root mean square, mm. */
function swayOfOutline({ outline: { outer }, sway }: TracedPhoto['model']): number {
  if (sway === undefined) return 0;
  const n = outer.length;
  let squares = 0;
  let around = 0;
  for (const move of swayMoves(sway)) {
    for (let i = 0; i < n; i += 2) {
      const j = (i + 2) % n;
      const [dx, dy] = [outer[j] - outer[i], outer[j + 1] - outer[i + 1]];
      const size = Math.hypot(dx, dy);
      if (size === 0) continue;
      squares += (move[i] * dy - move[i + 1] * dx) ** 2 / size;
    }
  }
  for (let i = 0; i < n; i += 2) {
    const j = (i + 2) % n;
    around += Math.hypot(outer[j] - outer[i], outer[j + 1] - outer[i + 1]);
  }
  return Math.sqrt(squares / around);
}

/** The greatest angle between straight down and the line of sight to a place of the outline, degrees. */
function mostAslant(
  { frame: { matrix: m }, outline: { outer } }: TracedPhoto['model'],
  { height, footX, footY }: CameraStand,
): number {
  const across = m[0] * footX + m[4] * footY + m[12];
  const along = m[1] * footX + m[5] * footY + m[13];
  let farthest = 0;
  for (let i = 0; i < outer.length; i += 2) {
    farthest = Math.max(farthest, Math.hypot(outer[i] - across, outer[i + 1] - along));
  }
  return (Math.atan2(farthest, height) * 180) / Math.PI;
}
