import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { makePose, withNoise, withPose } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { hippedBar } from '../pieces/solids.ts';
import type { Finding } from './findings.ts';
import { toScan } from './toScan.ts';

/** A straight bar in any pose, both faces hipped roofs: every place on its two long edges has the same angle. */
export function wedgeFinding(angle: number, sigma: number, triangles: number, seed: number): Finding {
  const random = createRandom(seed);
  const bar = hippedBar({ length: 90, width: 36, angle, triangles, seed });
  const noisy = sigma > 0 ? withNoise(bar, { sigma, direction: 'normal' }, random) : bar;
  const model = traceScan(toScan(withPose(noisy, makePose('random', 1, random))), DEFAULT_TRACE_SETTINGS);
  const { edgeAngle } = measure(model, DEFAULT_MEASURE_SETTINGS).series;
  const { station, valid, angle: found, side } = edgeAngle as Record<string, ArrayLike<number>>;
  const sides = side as unknown as readonly string[];
  let [sum, n] = [0, 0];
  for (let i = 0; i < station.length; i++) {
    // Beside a corner the section meets the other roof.
    if (station[i] < 8 || station[i] > 92 || (sides[i] !== 'left' && sides[i] !== 'right')) continue;
    if (!valid[i]) throw new Error(`no edge angle at station ${station[i]} of a bar of ${angle}°`);
    sum += (found[i] - angle) ** 2;
    n++;
  }
  if (n < 100) throw new Error(`only ${n} places on a bar with 150 mm of edge`);
  const where = `${angle}°, ${triangles / 1000} k triangles`;
  const quantity = sigma > 0 ? 'wedgeNoisy' : 'wedgeClean';
  return { quantity, error: Math.sqrt(sum / n), limit: sigma > 0 ? 2 : 0.5, where };
}
