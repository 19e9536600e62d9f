import { readFileSync } from 'node:fs';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { sliceMesh } from '../../src/geometry/slices.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { setUpV8 } from '../../workers/v8.node.ts';

export interface Timed {
  /** Best of the runs, ms. */
  readonly ms: number;
  readonly runs: readonly number[];
  /** What was computed, so that the two sides can be seen to agree. */
  readonly check: number;
  /** Peak resident memory of the process, bytes. */
  readonly peak: number;
}

/** Fifty sections with their areas, as cut along y between 1 % and 99 % of the extent; the mesh is already read. */
export function fiftySections(file: string, runs: number): Timed {
  const scan = readScan(readFileSync(file), { ...DEFAULT_SETTINGS.scan, unit: 'mm' });
  let min = Infinity;
  let max = -Infinity;
  for (let i = 1; i < scan.mesh.positions.length; i += 3) {
    min = Math.min(min, scan.mesh.positions[i]);
    max = Math.max(max, scan.mesh.positions[i]);
  }
  const levels = Float64Array.from({ length: 50 }, (_, k) => min + (max - min) * (0.01 + (0.98 * k) / 49));
  return timed(runs, () => {
    let area = 0;
    for (const slice of sliceMesh(scan.mesh, scan.twins, levels, 1)) {
      for (const loop of slice.loops) area += polygonMoments([loop.points]).area;
    }
    return area;
  });
}

/** The whole job from the bytes on disk to the record, V8 set up as the command line does. */
export async function wholeJob(file: string, runs: number): Promise<Timed> {
  setUpV8();
  const all: number[] = [];
  let check = 0;
  for (let run = 0; run < runs; run++) {
    const start = performance.now();
    const settings = { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' as const } };
    const { record } = await measureScan(readFileSync(file), 'bench.ply', settings);
    all.push(performance.now() - start);
    check = Number(record.measurements.find((m) => m.id === 'volume')?.value);
  }
  return { ms: Math.min(...all), runs: all, check, peak: process.resourceUsage().maxRSS * 1024 };
}

function timed(runs: number, work: () => number): Timed {
  let check = work();
  const all: number[] = [];
  for (let run = 0; run < runs; run++) {
    const start = performance.now();
    check = work();
    all.push(performance.now() - start);
  }
  return { ms: Math.min(...all), runs: all, check, peak: process.resourceUsage().maxRSS * 1024 };
}

export { PHOTO, photoJob } from './photo.ts';
export { fortyPlates } from './plate.ts';
