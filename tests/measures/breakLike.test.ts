import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { suggestedBreaks } from '../../src/app/bench/byHand/suggestedBreaks.ts';
import { ROOT } from '../../src/cli/ensure.mjs';
import { breakLike, overlaps, type PlanMargin } from '../../src/measures/breakLike.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';

const [A, B] = [20, 50];

/**
 * An ellipse of half-axes 20 × 50 mm, clockwise from its top, of which all above (`top`) or below `cut` is broken off along
 * a straight line; with the arc lengths of the line's ends.
 */
function ellipse(cut = -60, top = false): PlanMargin & { readonly ends: readonly [number, number] } {
  const ring: [number, number, boolean][] = [];
  for (let k = 0; k < 3600; k++) {
    const t = (k * Math.PI) / 1800;
    const [x, y] = [A * Math.sin(t), B * Math.cos(t)];
    if (top ? y <= cut : y >= cut) ring.push([x, y, false]);
    else {
      // The line in its stead, at even steps of the lost arc's angle.
      const half = A * Math.sqrt(1 - (cut / B) ** 2);
      const lost = Math.acos(cut / B);
      const share = top ? (t > Math.PI ? t - 2 * Math.PI : t) / lost : (Math.PI - t) / (Math.PI - lost);
      ring.push([half * share, cut, true]);
    }
  }
  const arc = [0];
  for (let i = 1; i < ring.length; i++) {
    arc.push(arc[i - 1] + Math.hypot(ring[i][0] - ring[i - 1][0], ring[i][1] - ring[i - 1][1]));
  }
  const [last] = ring.slice(-1);
  const length = (arc.at(-1) ?? 0) + Math.hypot(last[0] - ring[0][0], last[1] - ring[0][1]);
  const broken = ring.flatMap(([, , isLine], i) => (isLine ? [i] : []));
  const gap = broken.findIndex((i, k) => k > 0 && i !== broken[k - 1] + 1);
  const order = gap > 0 ? [...broken.slice(gap), ...broken.slice(0, gap)] : broken;
  return {
    arc,
    x: ring.map(([x]) => x),
    y: ring.map(([, y]) => y),
    length,
    ends: [arc[order[0]] ?? 0, arc[order[order.length - 1]] ?? 0],
  };
}

/** The same angle every millimetre. */
const angled = ({ length }: PlanMargin, degrees: number) => ({
  arc: Array.from({ length: Math.floor(length) }, (_, i) => i + 0.5),
  angle: Array.from({ length: Math.floor(length) }, () => degrees),
});

describe('a straight stretch across, with steep edges and corners', () => {
  test.each([
    ['the base is lost', -10, false],
    ['the tip is lost, so that it goes round the arc’s beginning', 10, true],
  ])('is found from corner to corner: %s', (_, cut, top) => {
    const margin = ellipse(cut, top);
    const found = breakLike(margin, angled(margin, 85), 2 * A);
    expect(found).toHaveLength(1);
    const step = margin.length / 400;
    expect(Math.abs(found[0].from - margin.ends[0])).toBeLessThan(2 * step);
    expect(Math.abs(found[0].to - margin.ends[1])).toBeLessThan(2 * step);
    expect(found[0].from > found[0].to).toBe(top);
  });

  test('is none where edges are thin, on a rounded end, or where little is lost', () => {
    const cut = ellipse(-10);
    expect(breakLike(cut, angled(cut, 40), 2 * A)).toEqual([]);
    const whole = ellipse();
    expect(breakLike(whole, angled(whole, 85), 2 * A)).toEqual([]);
    const nearly = ellipse(-49.5);
    expect(breakLike(nearly, angled(nearly, 85), 2 * A)).toEqual([]);
  });

  test('shares places with marked ones, also round the tip', () => {
    expect(overlaps({ from: 10, to: 20 }, [15, 30])).toBe(true);
    expect(overlaps({ from: 10, to: 20 }, [12, 13])).toBe(true);
    expect(overlaps({ from: 12, to: 13 }, [10, 20])).toBe(true);
    expect(overlaps({ from: 10, to: 20 }, [21, 30])).toBe(false);
    expect(overlaps({ from: 190, to: 5 }, [3, 8])).toBe(true);
    expect(overlaps({ from: 190, to: 5 }, [195, 2])).toBe(true);
    expect(overlaps({ from: 190, to: 5 }, [6, 180])).toBe(false);
  });
});

test('the snapped piece of the demo drawer is told from its like; marked, it says so no more and its length is a minimum; marked beyond the margin, that is told', async () => {
  const look = async (file: string, breaks: readonly (readonly [number, number])[] = []) =>
    measureScan(new Uint8Array(readFileSync(join(ROOT, 'sample-scans', file))), file, {
      ...DEFAULT_SETTINGS,
      scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' },
      measure: { ...DEFAULT_SETTINGS.measure, breaks },
    });
  const { record } = await look('qt-41-9-snapped-biface.ply');
  const [warning] = record.warnings.filter(({ code }) => code === 'break-like');
  const [from, to] = suggestedBreaks(record)[0];
  expect(warning.text).toContain(`From ${from.toFixed(0)} to ${to.toFixed(0)} mm along the margin`);
  // As long as the piece is wide there, within the obliquity of the break.
  expect((to - from) / 40).toBeGreaterThan(0.9);
  const marked = await look('qt-41-9-snapped-biface.ply', [[from, to]]);
  expect(marked.record.warnings.map(({ code }) => code)).not.toContain('break-like');
  expect(suggestedBreaks(marked.record)).toEqual([]);
  expect(marked.record.measurements.find(({ id }) => id === 'length')?.minimum).toBe(true);
  expect(marked.record.warnings.map(({ code }) => code)).not.toContain('stretch-outside');
  const outside = await look('qt-41-9-snapped-biface.ply', [[from, 900]]);
  expect(outside.record.warnings.find(({ code }) => code === 'stretch-outside')?.text).toMatch(
    /^A stretch is marked from 95 to 900 mm along the margin, which is 22\d mm long/,
  );
  const whole = await look('qt-41-7-humped-preform.ply');
  expect(whole.record.warnings.map(({ code }) => code)).not.toContain('break-like');
}, 60_000);
