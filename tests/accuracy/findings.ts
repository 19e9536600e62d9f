/** One comparison with the truth. `error` is in the tolerance's own unit and may carry a sign. */
export interface Finding {
  readonly quantity: Quantity;
  readonly error: number;
  /** Greatest |error| allowed here. */
  readonly limit: number;
  /** Where: case, station, side. */
  readonly where: string;
}

/** Rows of the accuracy table in the order of the specification (section 14). */
export const QUANTITIES = {
  length: { title: 'Length', unit: 'mm', target: '0.05 mm or 0.1 %' },
  width: { title: 'Width', unit: 'mm', target: '0.05 mm or 0.1 %' },
  thickness: { title: 'Thickness', unit: 'mm', target: '0.05 mm or 0.1 %' },
  area: { title: 'Area', unit: '%', target: '0.1 %' },
  volume: { title: 'Volume', unit: '%', target: '0.1 %' },
  section: { title: 'Section area, stations 10–90', unit: '%', target: '0.3 %' },
  plane: { title: 'Margin plane', unit: '°', target: '0.3°' },
  principal: { title: 'Length axis `principal`', unit: '°', target: '0.3°' },
  longest: { title: 'Length axis `longest`', unit: '°', target: '0.3°' },
  halfWidths: { title: 'Half-width difference curve (RMS of each piece)', unit: 'mm', target: '0.05 mm' },
  marginHeight: { title: 'Edge height along the margin (RMS of each piece)', unit: 'mm', target: '0.10 mm' },
  sinuosity: { title: 'Edge sinuosity', unit: '–', target: '0.005' },
  sinuosityBare: { title: 'Edge sinuosity, against the unsmoothed margin', unit: '–', target: '0.005' },
  wedgeClean: { title: 'Edge angle, straight wedge, clean (RMSE of each bar)', unit: '°', target: '0.5°' },
  wedgeNoisy: {
    title: 'Edge angle, straight wedge, noise 0.05 mm (RMSE of each bar)',
    unit: '°',
    target: '2.0°',
  },
  humpHeight: { title: 'Hump height', unit: '%', target: '15 %' },
  humpPlace: { title: 'Hump place', unit: 'mm', target: '2 mm' },
} as const;

export type Quantity = keyof typeof QUANTITIES;

export interface HumpCounts {
  truth: number;
  found: number;
  matched: number;
}

export interface Row {
  readonly title: string;
  readonly unit: string;
  readonly target: string;
  readonly worst: string;
  readonly rms: string;
  readonly n: number;
  readonly met: boolean;
  readonly where: string;
}

/** Condenses findings to one row a quantity. A quantity without findings has no row. */
export function condense(findings: readonly Finding[]): Row[] {
  return (Object.keys(QUANTITIES) as Quantity[]).flatMap((quantity) => {
    const own = findings.filter((f) => f.quantity === quantity);
    if (own.length === 0) return [];
    // The worst is the one that uses up most of what it is allowed.
    const worst = own.reduce((a, b) => (Math.abs(b.error) / b.limit > Math.abs(a.error) / a.limit ? b : a));
    const rms = Math.sqrt(own.reduce((sum, f) => sum + f.error * f.error, 0) / own.length);
    return {
      ...QUANTITIES[quantity],
      worst: worst.error.toPrecision(2),
      rms: rms.toPrecision(2),
      n: own.length,
      met: own.every((f) => Math.abs(f.error) <= f.limit),
      where: worst.where,
    };
  });
}

/** Share of found humps that are real and of real humps that are found. */
export function humpRows(counts: HumpCounts): Row[] {
  const row = (title: string, share: number, n: number): Row => ({
    title,
    unit: '–',
    target: '≥ 0.95',
    worst: share.toFixed(3),
    rms: '',
    n,
    met: share >= 0.95,
    where: '',
  });
  return [
    row('Humps: precision', counts.found === 0 ? 1 : counts.matched / counts.found, counts.found),
    row('Humps: recall', counts.truth === 0 ? 1 : counts.matched / counts.truth, counts.truth),
  ];
}
