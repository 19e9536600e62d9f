/** Share of the longer side of a bracket at which a golden section looks. */
const GOLDEN = (3 - Math.sqrt(5)) / 2;

/** A place and the value there. */
export interface Lowest {
  readonly at: number;
  readonly value: number;
}

/** How near the search comes, in the units of places and of values. */
export interface Nearness {
  /** To the place of the least value. */
  readonly place: number;
  /** Nearer than `flat` it does not look where neighbours are higher by less than `level`. */
  readonly flat: number;
  readonly level: number;
}

/**
 * The least value of a function between two places: parabolas through the three best places, and golden sections where these
 * do not converge (Brent 1973, chapter 5). The search starts at `first`; a function of several valleys may give any of them.
 */
export function lowest(
  f: (x: number) => number,
  low: number,
  high: number,
  first: number,
  { place, flat, level }: Nearness,
): Lowest {
  let a = low;
  let b = high;
  let best = { at: first, value: f(first) };
  let second = best;
  let third = best;
  let [step, before] = [0, 0];
  let [left, right] = [Infinity, Infinity];
  const least = place / 4;
  while (Math.abs(best.at - (a + b) / 2) > 2 * least - (b - a) / 2) {
    if (b - a < flat && Math.max(left, right) - best.value < level) break;
    const middle = (a + b) / 2;
    const parabola = Math.abs(before) <= least ? undefined : vertex(best, second, third);
    // A parabola is believed when it leads into the bracket and less far than half of the step before the last.
    const believed =
      parabola !== undefined &&
      Math.abs(parabola) < Math.abs(before / 2) &&
      best.at + parabola > a &&
      best.at + parabola < b;
    if (believed) {
      before = step;
      step = parabola;
      const next = best.at + step;
      if (next - a < 2 * least || b - next < 2 * least) step = best.at < middle ? least : -least;
    } else {
      before = best.at < middle ? b - best.at : a - best.at;
      step = GOLDEN * before;
    }
    const at = best.at + (Math.abs(step) >= least ? step : step > 0 ? least : -least);
    const tried = { at, value: f(at) };
    if (tried.value <= best.value) {
      if (tried.at < best.at) [b, right] = [best.at, best.value];
      else [a, left] = [best.at, best.value];
      third = second;
      second = best;
      best = tried;
    } else {
      if (tried.at < best.at) [a, left] = [tried.at, tried.value];
      else [b, right] = [tried.at, tried.value];
      if (tried.value <= second.value || second.at === best.at) {
        third = second;
        second = tried;
      } else if (tried.value <= third.value || third.at === best.at || third.at === second.at) {
        third = tried;
      }
    }
  }
  return best;
}

/** How far the vertex of the parabola through three places lies from the first; undefined where they make none. */
function vertex(one: Lowest, two: Lowest, three: Lowest): number | undefined {
  const r = (one.at - two.at) * (one.value - three.value);
  const q = (one.at - three.at) * (one.value - two.value);
  const p = (one.at - three.at) * q - (one.at - two.at) * r;
  const bend = 2 * (q - r);
  return bend === 0 ? undefined : -p / bend;
}
