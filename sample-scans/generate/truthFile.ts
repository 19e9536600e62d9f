import type { Points3 } from '../../src/geometry/types.ts';
import { MM_PER_UNIT } from '../../src/intake/types.ts';
import type { Piece } from './piece.ts';
import { after, inverse, matrixOf, type Pose } from './pose.ts';
import type { Truth } from './truth.ts';

/** Margin points in the file stand at most this far apart, mm. */
const MARGIN_STEP = 0.4;

const FRAME =
  'mm, right-handed: +Y base to tip along the principal axis of the outline, +Z out of Face A and square to the total-least-squares ' +
  'plane of the margin, origin at the base end on the axis in that plane. Matrix: 16 numbers, column-major, file coordinates to frame.';
const EXACTNESS =
  'Taken from the surfaces the piece was made of, not from the mesh: margin points to 1e-6 mm, length and width to 0.001 mm, ' +
  'area to 0.001 %, volume and section areas to 0.01 %, thickness to 0.005 mm. The mesh has its vertices on the same surfaces, ' +
  'rounded to single precision. Where a rind or a break stands upright at the margin, the outline is that of the margin line.';

/** The truth as JSON text: one array a line, numbers rounded well below their exactness. */
export function truthText(piece: Piece, pose: Pose, truth: Truth): string {
  const toFrame = after(inverse(pose), truth.frame.pose);
  const fields: [string, unknown][] = [
    ['format', 'knapgauge-truth'],
    ['version', 1],
    ['file', `${piece.name}.${piece.format}`],
    ['unit', piece.unit],
    ['exactness', EXACTNESS],
    ['frame', FRAME],
    ['axis', 'principal'],
    ['matrix', [...matrixOf(toFrame, MM_PER_UNIT[piece.unit])].map((c) => rounded(c, 9))],
    ['values', mapped(truth.values, 5)],
    ['sections', truth.sections.map((section) => mapped({ ...section }, 4))],
    [
      'humps',
      truth.humps.map((hump) => ({
        face: hump.face,
        peak: hump.peak.map((c) => rounded(c, 3)),
        ...mapped(
          {
            station: hump.station,
            excess: hump.excess,
            prominence: hump.prominence,
            thickness: hump.thickness,
          },
          3,
        ),
      })),
    ],
    ['margin', thinned(truth.frame.ring).map((p) => p.map((c) => rounded(c, 4)))],
  ];
  return `{\n${fields.map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`).join(',\n')}\n}\n`;
}

/** Margin clockwise from the tip as seen on Face A, thinned to the file's spacing. */
function thinned(ring: Points3): number[][] {
  const n = ring.length / 3;
  let tip = 0;
  for (let i = 0; i < n; i++) if (ring[3 * i + 1] > ring[3 * tip + 1]) tip = i;
  const out: number[][] = [];
  for (let k = 0; k < n; k++) {
    const i = (tip + n - k) % n;
    const point = [ring[3 * i], ring[3 * i + 1], ring[3 * i + 2]];
    const last = out.at(-1);
    if (last && Math.hypot(...point.map((c, j) => c - last[j])) < MARGIN_STEP) continue;
    out.push(point);
  }
  return out;
}

function mapped(values: Readonly<Record<string, number>>, digits: number): Record<string, number> {
  return Object.fromEntries(Object.entries(values).map(([key, value]) => [key, rounded(value, digits)]));
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits)) + 0;
}
