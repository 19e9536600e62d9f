import { createRequire } from 'node:module';
import type { Cv } from '../src/intake/photoOpencv.ts';

interface Loading {
  Mat?: unknown;
  onRuntimeInitialized?: () => void;
}

let loading: Promise<{ readonly cv: Cv }> | undefined;

/** OpenCV once its runtime is up, boxed: the object has a `then` and must not be awaited itself. Loaded on first use. */
export function loadOpencv(): Promise<{ readonly cv: Cv }> {
  loading ??= start();
  return loading;
}

async function start(): Promise<{ readonly cv: Cv }> {
  // Its script takes over what Node does with faults nobody caught, and would print a page of its own source for each.
  const before = {
    exception: process.listeners('uncaughtException'),
    rejection: process.listeners('unhandledRejection'),
  };
  const cv = createRequire(import.meta.url)('opencv-ts') as Loading;
  if (cv.Mat === undefined) {
    await new Promise<void>((resolve) => {
      cv.onRuntimeInitialized = resolve;
    });
  }
  for (const listener of process.listeners('uncaughtException')) {
    if (!before.exception.includes(listener)) process.removeListener('uncaughtException', listener);
  }
  for (const listener of process.listeners('unhandledRejection')) {
    if (!before.rejection.includes(listener)) process.removeListener('unhandledRejection', listener);
  }
  return { cv: cv as unknown as Cv };
}
