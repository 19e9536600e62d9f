import type { TraceSettings } from './types.ts';

export const DEFAULT_TRACE_SETTINGS: TraceSettings = {
  axis: 'mirror',
  flipFace: false,
  flipTip: false,
  nudgeAngle: 0,
  nudgeShift: 0,
  stations: 201,
};
