import { DEFAULT_SCALE_SETTINGS } from '../intake/settings.ts';
import type { PhotoSettings, TraceSettings } from './types.ts';

export const DEFAULT_TRACE_SETTINGS: TraceSettings = {
  axis: 'mirror',
  flipFace: false,
  flipTip: false,
  nudgeAngle: 0,
  nudgeShift: 0,
  stations: 201,
};

export const DEFAULT_PHOTO_SETTINGS: PhotoSettings = { ...DEFAULT_SCALE_SETTINGS, piece: 1 };
