import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import type { Hump, Measurement } from '../../src/measures/types.ts';
import { type MeasuredScan, measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { smallScan } from '../cli/run.ts';

/** Which of the two were swapped. */
interface Flip {
  readonly tip: boolean;
  readonly face: boolean;
}
const FLIPS: readonly Flip[] = [
  { tip: true, face: false },
  { tip: false, face: true },
  { tip: true, face: true },
];

const demo = (file: string) =>
  [file, new Uint8Array(readFileSync(join(ROOT, 'sample-scans', file)))] as const;
const PIECES = [
  demo('qt-41-7-humped-preform.ply'),
  demo('qt-41-9-snapped-biface.ply'),
  demo('qt-41-4-notched-point.glb'),
  demo('qt-41-18-small-point.stl'),
  demo('qt-41-12-plano-convex.ply'),
  // Symmetrical and without noise: everything that may lie on a border lies on it.
  ['an invented ovate', smallScan('ovate')] as const,
];

/** Said of one end alone: the other has no such measure. */
const OF_ONE_END =
  /^(tip\.(angle|radius)|base\.shape|roe\.(t1l|l1l|b1b2)|bordes\.(la|nm)|symmetry\.fourier)$/;
/** To the right, along the length, above the plane: what changes sign or is counted from the other end. */
const SIDEWAYS = /^(midline\.bow|symmetry\.worst|thickness\.offset)$/;
const STATION = /\.station$/;
const OF_FACE_A = /^(faces\.balance|edge\.offset\.(left|right)|section\.[a-z\d]+\.faces)$/;
/**
 * Tops on arrises are climbed and fitted by what agrees with what, and rounding decides where that hangs in the balance: turned
 * about, a few differ by up to this share, far within their uncertainty.
 */
const TOPS =
  /^(thickness|width\.thickness|bow\.profile|section\.[a-z\d]+\.(thickness|misfit)|roe\.(thb|t1l)|bordes\.me|flatness)/;
const TOPS_SHARE = 1e-3;
/** To rounding, and to what the search for the axis leaves. */
const SAME_SHARE = 1e-6;

/** Of uncertainties, some of which are read off every second point of a line, from whichever end. */
const U_SHARE = 0.1;

/** The measure that tells of the piece as it lies now what `id` told of it before. */
function partner(id: string, { tip, face }: Flip): string {
  const swap = (text: string, on: boolean, one: string, other: string): string =>
    on
      ? text.replace(new RegExp(`\\.(${one}|${other})(?=\\.|$)`), (_, was) => `.${was === one ? other : one}`)
      : text;
  const sided = swap(id, tip !== face, 'left', 'right');
  const ended = sided.startsWith('edge.angle') ? swap(sided, tip, 'tip', 'base') : sided;
  const faced = swap(ended, face, 'a', 'b');
  return tip
    ? faced.replace(/^((?:width\.at|thickness\.at|section)\.)(\d\d)/, (_, of, n) => of + (100 - n))
    : faced;
}

/** What its value must be. */
function expected({ id, value }: Measurement, { tip, face }: Flip): Measurement['value'] {
  if (typeof value !== 'number') return value;
  if (SIDEWAYS.test(id)) return tip !== face ? -value : value;
  if (id === 'midline.skew') return face ? -value : value;
  if (STATION.test(id)) return tip ? 100 - value : value;
  if (OF_FACE_A.test(id)) return face ? 100 - value : value;
  return value;
}

async function measured(bytes: Uint8Array, file: string, { tip, face }: Flip): Promise<MeasuredScan> {
  const trace = { ...DEFAULT_SETTINGS.trace, flipTip: tip, flipFace: face };
  return measureScan(bytes, file, { ...DEFAULT_SETTINGS, trace });
}

function describeHump({ face, station, offset, prominence, area, volume, run }: Hump, flip: Flip) {
  const mirrored = flip.tip !== flip.face;
  return {
    face: flip.face ? (face === 'A' ? 'B' : 'A') : face,
    station: flip.tip ? 100 - station : station,
    offset: mirrored ? -offset : offset,
    prominence,
    area,
    volume,
    left: mirrored ? run.right : run.left,
  };
}

describe.each(PIECES)('%s', (file, bytes) => {
  test('is measured the same with ends, faces and both swapped; what belongs to an end, a side or a face goes with it', async () => {
    const plain = await measured(bytes, file, { tip: false, face: false });
    for (const flip of FLIPS) {
      const other = await measured(bytes, file, flip);
      const found = new Map(other.result.measurements.map((one) => [one.id, one]));
      const amiss: string[] = [];
      let compared = 0;
      for (const one of plain.result.measurements) {
        if (flip.tip && OF_ONE_END.test(one.id)) continue;
        const to = partner(one.id, flip);
        const is = found.get(to)?.value;
        const [was, said] = [expected(one, flip), `${one.id} → ${to}, ${JSON.stringify(flip)}`];
        if (typeof was !== 'number' || typeof is !== 'number') {
          if (is !== was) amiss.push(`${said}: ${was} became ${is}`);
          continue;
        }
        const share = TOPS.test(one.id) && !STATION.test(one.id) ? TOPS_SHARE : SAME_SHARE;
        const size = OF_FACE_A.test(one.id) || STATION.test(one.id) ? 100 : Math.abs(was);
        if (!(Math.abs(is - was) <= share * size + 1e-7)) amiss.push(`${said}: ${was} became ${is}`);
        const u = found.get(to)?.u;
        if (!TOPS.test(one.id) && Math.abs((u ?? 0) - (one.u ?? 0)) > U_SHARE * (one.u ?? 0) + 1e-7)
          amiss.push(`u of ${said}: ${one.u} became ${u}`);
        compared++;
      }
      expect(amiss).toEqual([]);
      expect(compared).toBeGreaterThan(150);
      expect(other.result.humps.length).toBe(plain.result.humps.length);
      for (const [k, hump] of plain.result.humps.entries()) {
        const was = describeHump(hump, flip);
        const is = describeHump(other.result.humps[k], { tip: false, face: false });
        expect(is.face).toBe(was.face);
        for (const part of ['station', 'offset', 'prominence', 'area', 'volume', 'left'] as const) {
          expect(Math.abs(is[part] - was[part]), `hump ${k + 1}, ${part}`).toBeLessThan(
            1e-4 * Math.max(1, Math.abs(was[part])),
          );
        }
      }
    }
  }, 60_000);
});
