/** How p values of several tests at once are corrected. */
export type Correction = 'holm' | 'benjamini-hochberg';

export const CORRECTIONS: Readonly<Record<Correction, string>> = {
  holm: 'Holm 1979: chance of one or more false findings among all tests',
  'benjamini-hochberg': 'Benjamini & Hochberg 1995: expected share of false findings among those made',
};

/** Corrected p values in the order given. A NaN is no test: it stays NaN and does not count. */
export function correct(p: ArrayLike<number>, by: Correction): Float64Array {
  const order = Array.from(p, (value, i) => ({ value, i })).filter(({ value }) => !Number.isNaN(value));
  order.sort((a, b) => a.value - b.value);
  const out = new Float64Array(p.length).fill(NaN);
  const m = order.length;
  if (by === 'holm') {
    let most = 0;
    order.forEach(({ value, i }, rank) => {
      most = Math.max(most, Math.min(1, (m - rank) * value));
      out[i] = most;
    });
    return out;
  }
  let least = 1;
  for (let rank = m - 1; rank >= 0; rank--) {
    const { value, i } = order[rank];
    least = Math.min(least, (m / (rank + 1)) * value);
    out[i] = least;
  }
  return out;
}
