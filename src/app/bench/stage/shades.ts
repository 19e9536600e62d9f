import type { Drawn } from '../../../../workers/messages.ts';

/** What the colour of the surface says. */
export const SHADES = ['stone', 'thickness', 'excess', 'edge'] as const;
export type Shade = (typeof SHADES)[number];

export const SHADE_LABELS: Readonly<Record<Shade, string>> = {
  stone: 'Stone',
  thickness: 'Thickness',
  excess: 'Hump excess',
  edge: 'Edge angle',
};

/** Values at the vertices and the two ends of their scale. */
export interface Scale {
  /** NaN where there is none: the stone's own colour. */
  readonly values: Float32Array;
  readonly low: number;
  readonly high: number;
  readonly unit: 'mm' | '°';
  /** What the scale says, beside it. */
  readonly words: string;
}

/** Share of the values that the scale holds: single vertices in cracks and at tips would press all others flat. */
const BULK = 0.995;

/** Null for the bare stone. */
export function scaleOf(drawn: Drawn, shade: Shade): Scale | null {
  if (shade === 'thickness') {
    const { thickness: values } = drawn;
    return { values, low: 0, high: greatest(values), unit: 'mm', words: 'thickness' };
  }
  if (shade === 'excess') {
    const { excess: values } = drawn;
    return { values, low: 0, high: quantile(values, BULK), unit: 'mm', words: 'above the reference' };
  }
  if (shade === 'edge') {
    const { edgeAngle: values } = drawn;
    const [low, high] = [quantile(values, 1 - BULK), quantile(values, BULK)];
    return {
      values,
      low: Math.floor(low / 5) * 5,
      high: Math.ceil(high / 5) * 5,
      unit: '°',
      words: 'edge angle',
    };
  }
  return null;
}

function greatest(values: Float32Array): number {
  let most = 0;
  for (const value of values) if (value > most) most = value;
  return most || 1;
}

/** So many values tell a quantile as well as all of them do, and are sorted between two frames. */
const SAMPLE = 20_000;

function quantile(values: Float32Array, share: number): number {
  const step = Math.max(1, Math.floor(values.length / SAMPLE));
  const known = values.filter((value, i) => i % step === 0 && !Number.isNaN(value)).sort();
  return known.length === 0 ? 1 : known[Math.round(share * (known.length - 1))] || 1;
}
