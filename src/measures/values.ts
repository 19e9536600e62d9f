import type { Components, Value } from './types.ts';

/** A measure that does not apply; `reason` is one clause. */
export function none(reason: string): Value {
  return { value: null, reason };
}

/** A ratio a/b with the components of both carried over, relative to relative (JCGM 100:2008, 5.1.6). */
export function ratio(a: Value, b: Value, factor = 1): Value {
  if (typeof a.value !== 'number') return { value: null, reason: a.reason ?? 'not defined for this shape' };
  if (typeof b.value !== 'number') return { value: null, reason: b.reason ?? 'not defined for this shape' };
  if (b.value === 0) return none('divides by a length of zero');
  const value = (factor * a.value) / b.value;
  return { value, components: relative(value, a, b) };
}

/** Components of a product or quotient of measured values. */
export function relative(value: number, ...parts: readonly Value[]): Components {
  const out: Components = {};
  for (const cause of ['resolution', 'noise', 'orientation', 'tracing'] as const) {
    let sum = 0;
    for (const part of parts) {
      const u = part.components?.[cause];
      if (u !== undefined && typeof part.value === 'number' && part.value !== 0) sum += (u / part.value) ** 2;
    }
    if (sum > 0) out[cause] = Math.abs(value) * Math.sqrt(sum);
  }
  return out;
}
