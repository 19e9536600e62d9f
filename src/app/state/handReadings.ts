/** What was read off a caliper, to stand beside what was computed, mm. A weighed mass is a setting: it goes into a number. */
export interface HandReadings {
  readonly length?: number;
  readonly width?: number;
  readonly thickness?: number;
}

export const HAND_READINGS = ['length', 'width', 'thickness'] as const;
