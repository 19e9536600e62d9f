import type { PhotoLimits, ScaleSettings } from './photoTypes.ts';
import type { ScanSettings } from './types.ts';

export const DEFAULT_SCAN_SETTINGS: ScanSettings = { holeLimit: 0.1 };

export const DEFAULT_PHOTO_LIMITS: PhotoLimits = {
  pixels: 150_000_000,
  side: 30_000,
  reducedPixels: 2_000_000,
};

export const DEFAULT_SCALE_SETTINGS: ScaleSettings = {
  method: 'auto',
  printedBarUncertainty: 0.1,
};
