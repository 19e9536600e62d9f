/**
 * Numbers are kept to what their uncertainty supports plus two figures, so that the last bits of a sum, which may
 * differ from one machine to the next, never reach a file. A place is a power of ten: −2 keeps hundredths.
 */

/** Figures of the standard uncertainty that are printed. */
export const PRINTED_FIGURES = 2;
/** Figures kept beyond those. */
const SPARE_FIGURES = 2;
/** Figures kept of a number that carries no uncertainty. */
const BARE_FIGURES = 10;

/** The value at the given place; halves by the exact decimal expansion of the double. Never −0. */
export function roundAt(value: number, place: number): number {
  if (!Number.isFinite(value)) return value;
  const decimals = Math.min(100, Math.max(0, -place));
  const rounded = place > 0 ? Math.round(value / 10 ** place) * 10 ** place : Number(value.toFixed(decimals));
  return rounded === 0 ? 0 : rounded;
}

export function roundFigures(value: number, figures: number): number {
  return value === 0 || !Number.isFinite(value) ? value + 0 : Number(value.toPrecision(figures));
}

/** Place of the last of `figures` significant figures, after rounding to them: 0.0996 to two is 0.10, place −2. */
export function lastPlace(value: number, figures: number): number {
  return Number(value.toExponential(figures - 1).split('e')[1]) - figures + 1;
}

/** A measured value by its standard uncertainty. Without one (0, absent) ten figures are kept. */
export function roundMeasured(value: number, u: number | undefined): number {
  if (u === undefined || !(u > 0) || !Number.isFinite(u)) return roundFigures(value, BARE_FIGURES);
  return roundAt(value, keptPlace(u));
}

export function roundUncertainty(u: number): number {
  return u > 0 && Number.isFinite(u) ? roundAt(u, keptPlace(u)) : u;
}

function keptPlace(u: number): number {
  return lastPlace(u, PRINTED_FIGURES) - SPARE_FIGURES;
}

/** Place to which coordinates of a piece are kept: a ten-thousandth of a millimetre on one of 100 mm. */
export function coordinatePlace(length: number): number {
  return lastPlace(length, 1) - 6;
}

/** Figures of a value that are printed at most: a smaller u is what rounding left, and is printed as a power of ten. */
const MOST_FIGURES = 7;

/** `21.37 ± 0.05` as printed: two figures of u, the value to the same place. */
export function printMeasured(value: number, u: number | undefined): { value: string; u: string } {
  if (u === undefined || !(u > 0)) return { value: String(roundFigures(value, 6)), u: '' };
  const place = lastPlace(u, PRINTED_FIGURES);
  if (value !== 0 && place < lastPlace(value, MOST_FIGURES)) {
    return { value: String(roundFigures(value, MOST_FIGURES)), u: u.toExponential(PRINTED_FIGURES - 1) };
  }
  const decimals = Math.min(100, Math.max(0, -place));
  return { value: roundAt(value, place).toFixed(decimals), u: roundAt(u, place).toFixed(decimals) };
}
