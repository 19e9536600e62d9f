import { interpolateCividis } from 'd3-scale-chromatic';
import { Color } from 'three';
import type { Drawn } from '../../../../workers/messages.ts';

/** What the colour of the surface says. */
export const SHADES = ['stone', 'thickness'] as const;
export type Shade = (typeof SHADES)[number];

export const SHADE_LABELS: Readonly<Record<Shade, string>> = { stone: 'Stone', thickness: 'Thickness' };

const STONE = '#b7ad9c';
const GLOW = '#e8951f';
/** A hump keeps so much of the stone's own colour that its scars can still be read. */
const GLOW_AT_MOST = 0.6;
const STEPS = 256;

/** RGBA bytes for every vertex, linear light, as vertex colours are taken. */
export function paintSurface(count: number, drawn: Drawn | undefined, shade: Shade): Uint8Array {
  const out = new Uint8Array(4 * count).fill(255);
  if (shade === 'thickness' && drawn !== undefined) {
    const table = mapTable();
    const most = greatest(drawn.thickness);
    for (let i = 0; i < count; i++) {
      const t = drawn.thickness[i] / most;
      const k = Number.isNaN(t) ? 0 : Math.min(STEPS - 1, Math.max(0, Math.floor(t * STEPS)));
      out.set(table.subarray(3 * k, 3 * k + 3), 4 * i);
    }
    return out;
  }
  const stone = bytes(STONE);
  const glow = bytes(GLOW);
  for (let i = 0; i < count; i++) {
    const share = GLOW_AT_MOST * (drawn?.glow[i] ?? 0);
    for (let c = 0; c < 3; c++) out[4 * i + c] = stone[c] + (glow[c] - stone[c]) * share;
  }
  return out;
}

export function greatest(values: Float32Array): number {
  let most = 0;
  for (const value of values) if (value > most) most = value;
  return most || 1;
}

/** Cividis (Nuñez, Anderton & Renslow 2018): reads alike with and without colour-blindness. */
function mapTable(): Uint8Array {
  const table = new Uint8Array(3 * STEPS);
  for (let i = 0; i < STEPS; i++) table.set(bytes(interpolateCividis(i / (STEPS - 1))), 3 * i);
  return table;
}

function bytes(css: string): number[] {
  const { r, g, b } = new Color(css);
  return [r, g, b].map((part) => Math.round(255 * part));
}
