/** Ideals that a section may lie near, in the words of the trade. */
export const FORMS = ['biconvex', 'plano-convex', 'rhomboid', 'parallel-sided'] as const;
export type Form = (typeof FORMS)[number];

/** RMS distance above which no ideal fits, as a share of the thickness. */
export const IRREGULAR = 0.12;
/** Places across the section at which it is compared. */
const SAMPLES = 101;
/** A parallel-sided section is flat over this share of its width. */
const PLATEAU = 0.6;

export interface SectionForm {
  readonly form: Form | 'irregular';
  /** RMS distance from each ideal, both faces together, as a share of the thickness. */
  readonly misfit: Readonly<Record<Form, number>>;
}

/**
 * Compares the two faces of a section, scaled to unit width and thickness with its margins at (−1, 0) and (1, 0), with
 * each ideal; of an ideal that is not the same upside down the better of the two counts.
 * @param top, @param bottom heights over the line between the margins at equal steps across, SAMPLES long.
 */
export function nearestForm(top: ArrayLike<number>, bottom: ArrayLike<number>, width: number): SectionForm {
  let thickness = 0;
  for (let i = 0; i < top.length; i++) thickness = Math.max(thickness, top[i] - bottom[i]);
  const against = (upper: (u: number) => number, lower: (u: number) => number): number => {
    let sum = 0;
    for (let i = 0; i < top.length; i++) {
      const u = (2 * i) / (top.length - 1) - 1;
      sum += (top[i] / thickness - upper(u)) ** 2 + (bottom[i] / thickness - lower(u)) ** 2;
    }
    return Math.sqrt(sum / (2 * top.length));
  };
  const half = arc(width / thickness / 2);
  const full = arc(width / thickness);
  const ridge = (u: number): number => 1 - Math.abs(u);
  const plateau = (u: number): number => Math.min(1, (1 - Math.abs(u)) / (1 - PLATEAU));
  const none = (): number => 0;
  const misfit: Record<Form, number> = {
    biconvex: against(
      (u) => half(u) / 2,
      (u) => -half(u) / 2,
    ),
    'plano-convex': Math.min(
      against(full, none),
      against(none, (u) => -full(u)),
    ),
    rhomboid: against(
      (u) => ridge(u) / 2,
      (u) => -ridge(u) / 2,
    ),
    'parallel-sided': against(
      (u) => plateau(u) / 2,
      (u) => -plateau(u) / 2,
    ),
  };
  const best = FORMS.reduce((a, b) => (misfit[b] < misfit[a] ? b : a));
  return { form: misfit[best] <= IRREGULAR ? best : 'irregular', misfit };
}

/**
 * A circular arc over u ∈ [−1, 1] with height 1, where the half-chord is `slenderness` × the sagitta; a section taller
 * than half its width has an elliptic one.
 */
function arc(slenderness: number): (u: number) => number {
  const s = Math.max(1, slenderness);
  // In units of the sagitta: half-chord s, radius (s² + 1)/2.
  const radius = (s * s + 1) / 2;
  return (u) => Math.sqrt(Math.max(0, radius * radius - s * s * u * u)) - (radius - 1);
}

/**
 * Upper and lower envelope of loops at equal steps between the margins, over the line that joins these.
 * @param loops x z pairs; @param left, @param right the margins as x z.
 */
export function envelopes(
  loops: readonly Float64Array[],
  left: readonly [number, number],
  right: readonly [number, number],
): { top: Float64Array; bottom: Float64Array } {
  const top = new Float64Array(SAMPLES).fill(-Infinity);
  const bottom = new Float64Array(SAMPLES).fill(Infinity);
  const span = right[0] - left[0];
  const slope = span > 0 ? (right[1] - left[1]) / span : 0;
  const step = span / (SAMPLES - 1);
  for (const loop of loops) {
    for (let i = 0; i < loop.length; i += 2) {
      const j = i + 2 === loop.length ? 0 : i + 2;
      const low = Math.min(loop[i], loop[j]);
      const high = Math.max(loop[i], loop[j]);
      const from = Math.max(0, Math.ceil((low - left[0]) / step));
      const to = Math.min(SAMPLES - 1, Math.floor((high - left[0]) / step));
      for (let k = from; k <= to; k++) {
        const x = left[0] + k * step;
        const f = high > low ? (x - loop[i]) / (loop[j] - loop[i]) : 0;
        const z = loop[i + 1] + f * (loop[j + 1] - loop[i + 1]) - left[1] - slope * (x - left[0]);
        if (z > top[k]) top[k] = z;
        if (z < bottom[k]) bottom[k] = z;
      }
    }
  }
  for (let k = 0; k < SAMPLES; k++) {
    // The margins themselves, and gaps between the lobes of a section.
    if (top[k] === -Infinity) {
      top[k] = 0;
      bottom[k] = 0;
    }
  }
  return { top, bottom };
}
