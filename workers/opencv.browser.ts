import opencv from 'opencv-ts';
import type { Cv } from '../src/intake/photoOpencv.ts';

interface Loading {
  Mat?: unknown;
  onRuntimeInitialized?: () => void;
}

/** OpenCV once its runtime is up, boxed: the object has a `then` and must not be awaited itself. */
export async function startOpencv(): Promise<{ readonly cv: Cv }> {
  const cv = opencv as unknown as Loading;
  if (cv.Mat === undefined) {
    await new Promise<void>((resolve) => {
      cv.onRuntimeInitialized = resolve;
    });
  }
  return { cv: cv as unknown as Cv };
}
