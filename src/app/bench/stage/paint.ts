import { interpolateCividis } from 'd3-scale-chromatic';
import { Color } from 'three';
import type { Drawn } from '../../../../workers/messages.ts';
import { type Scale, type Shade, scaleOf } from './shades.ts';

const STONE = '#b7ad9c';
const GLOW = '#e8951f';
/** A hump keeps so much of the stone's own colour that its scars can still be read. */
const GLOW_AT_MOST = 0.6;
const STEPS = 256;

/** RGBA bytes for every vertex, linear light, as vertex colours are taken. */
export function paintSurface(count: number, drawn: Drawn | undefined, shade: Shade): Uint8Array {
  const out = new Uint8Array(4 * count).fill(255);
  const stone = bytes(STONE);
  const scale = drawn && scaleOf(drawn, shade);
  if (scale) {
    paintScale(out, scale, stone);
    return out;
  }
  const glow = bytes(GLOW);
  for (let i = 0; i < count; i++) {
    const share = GLOW_AT_MOST * (drawn?.glow[i] ?? 0);
    for (let c = 0; c < 3; c++) out[4 * i + c] = stone[c] + (glow[c] - stone[c]) * share;
  }
  return out;
}

function paintScale(out: Uint8Array, { values, low, high }: Scale, stone: readonly number[]): void {
  const table = mapTable();
  for (let i = 0; i < values.length; i++) {
    const t = (values[i] - low) / (high - low);
    if (Number.isNaN(t)) out.set(stone, 4 * i);
    else {
      const k = Math.min(STEPS - 1, Math.max(0, Math.floor(t * STEPS)));
      out.set(table.subarray(3 * k, 3 * k + 3), 4 * i);
    }
  }
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
