/** What was read off a caliper and a balance, to stand beside what was computed. mm and g. */
export interface HandReadings {
  readonly length?: number;
  readonly width?: number;
  readonly thickness?: number;
  readonly mass?: number;
}

export const HAND_READINGS = ['length', 'width', 'thickness'] as const;
