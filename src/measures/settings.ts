import type { MeasureSettings } from './types.ts';

/** What is used where nothing else is asked for. The record keeps every one of them. */
export const DEFAULT_MEASURE_SETTINGS: MeasureSettings = {
  perimeterScale: 0.5,
  sinuosityScale: 1,
  turnBand: 0.1,
  edgeSpacing: 1,
  edgeInner: 0.5,
  edgeOuter: 3,
  edgeCap: 0.35,
  mapCell: 0.25,
  humpProminence: 0.5,
  humpShare: 0.05,
  humpFootprint: 12,
  humpRelief: 8,
  sectionStations: [10, 20, 30, 40, 50, 60, 70, 80, 90],
  breaks: [],
};
