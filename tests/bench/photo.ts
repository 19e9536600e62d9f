import { readFileSync } from 'node:fs';
import { reduce } from '../../src/intake/photoRead.ts';
import type { Photo, Pixels } from '../../src/intake/photoTypes.ts';
import { findScale } from '../../src/intake/scale.ts';
import { DEFAULT_PHOTO_LIMITS } from '../../src/intake/settings.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { candidatesOf, tracePhoto } from '../../src/trace/tracePhoto.ts';
import { loadOpencv } from '../../workers/opencv.node.ts';
import { setUpV8 } from '../../workers/v8.node.ts';

/** Of the picture that is measured: a demo photograph drawn larger, 24 megapixels. */
export const PHOTO = { width: 5400, height: 4500 };

/** Decoded pixels → sub-pixel outline and all outline measures, `runs` times, as the command line sets V8 up: ms of each, and what was measured. */
export async function photoJob(
  path: string,
  runs: number,
): Promise<{ runs: number[]; length: number; heap: number }> {
  setUpV8();
  const { cv } = await loadOpencv();
  const rgba = new Uint8ClampedArray(readFileSync(path));
  const times: number[] = [];
  let length = 0;
  for (let run = 0; run < runs; run++) {
    const start = performance.now();
    const photo = asRead({ ...PHOTO, rgba });
    const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 40 } as const;
    const scale = findScale(photo, settings, cv);
    const { model } = tracePhoto(candidatesOf(photo, scale, cv), scale, settings, DEFAULT_TRACE_SETTINGS);
    const result = measure(model, DEFAULT_MEASURE_SETTINGS);
    times.push(performance.now() - start);
    length = result.measurements.find(({ id }) => id === 'length')?.value as number;
  }
  const heap = (cv as unknown as { HEAP8: Int8Array }).HEAP8.length;
  return { runs: times, length, heap };
}

/** As `readPhoto` gives it, without the decoding. */
function asRead(pixels: Pixels): Photo {
  const factor = Math.ceil(Math.sqrt((pixels.width * pixels.height) / DEFAULT_PHOTO_LIMITS.reducedPixels));
  return {
    kind: 'photo',
    ...pixels,
    reduced: reduce(pixels, factor),
    masked: false,
    format: 'png',
    orientation: 1,
    camera: false,
    warnings: [],
  };
}
