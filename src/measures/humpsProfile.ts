import { commonProfile } from '../geometry/asymmetricProfile.ts';
import { binAt, type FaceFrame } from './humpsFace.ts';

/** What the sections of one face have in common, read from the face itself by medians that humps do not move. */
export interface FaceProfiles {
  /** Form of the sections at a cell, greatest 1: a function of the place across alone. */
  section(k: number): number;
  /** Usual height at a cell's distance from the margin, greatest 1: a function of that distance alone. */
  rise(k: number): number;
}

const STATIONS = 24;
const PLACES = 48;
const DEPTHS = 40;
/** The rise is taken as level over this deepest share of the plan, which a single hump might fill. */
const LEVEL_SHARE = 0.4;

/** Profiles of a face as some of its cells tell them. */
export function faceProfiles(frame: FaceFrame, cells: Uint32Array, heights: Float32Array): FaceProfiles {
  const section = sectionProfile(frame, cells, heights);
  const rise = riseProfile(frame, cells, heights);
  return {
    section: (k) => between(section, frame.across[k] * PLACES - 0.5),
    rise: (k) => between(rise.profile, frame.depth[k] / rise.step - 0.5),
  };
}

function sectionProfile(
  { map, along, across }: FaceFrame,
  cells: Uint32Array,
  heights: Float32Array,
): Float64Array {
  const sums = new Float64Array(STATIONS * PLACES);
  const counts = new Float64Array(STATIONS * PLACES);
  for (const k of cells) {
    const i = binAt(along[Math.floor(k / map.columns)], STATIONS);
    const j = binAt(across[k], PLACES);
    sums[i * PLACES + j] += heights[k];
    counts[i * PLACES + j]++;
  }
  for (let i = 0; i < sums.length; i++) if (counts[i] > 0) sums[i] /= counts[i];
  return filled(commonProfile(sums, counts, PLACES));
}

function riseProfile(
  { sample, depth }: FaceFrame,
  cells: Uint32Array,
  heights: Float32Array,
): { profile: Float64Array; step: number } {
  const depths = Float32Array.from(sample, (k) => depth[k]).sort();
  const deepest = depths[Math.floor((1 - LEVEL_SHARE) * depths.length)] ?? 1;
  const step = deepest / DEPTHS;
  const kept = cells.filter((k) => depth[k] < deepest);
  const bin = (k: number) => Math.min(DEPTHS - 1, Math.floor(depth[k] / step));
  const starts = new Uint32Array(DEPTHS + 1);
  for (const k of kept) starts[bin(k) + 1]++;
  for (let j = 0; j < DEPTHS; j++) starts[j + 1] += starts[j];
  const sorted = new Float32Array(kept.length);
  const next = starts.slice();
  for (const k of kept) sorted[next[bin(k)]++] = heights[k];
  const profile = filled(
    Float64Array.from({ length: DEPTHS }, (_, j) => {
      const own = sorted.subarray(starts[j], starts[j + 1]).sort();
      return own.length > 0 ? own[own.length >> 1] : NaN;
    }),
  );
  const most = profile.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
  return { profile: most > 0 ? profile.map((v) => v / most) : profile, step };
}

/** Gaps lie straight between the values beside them, those at either end take the nearest there is; 0 where there is none at all. */
function filled(values: Float64Array): Float64Array {
  const known = Array.from(values.keys()).filter((i) => !Number.isNaN(values[i]));
  if (known.length === 0) return values.map(() => 0);
  let next = 0;
  return values.map((v, i) => {
    while (next < known.length && known[next] < i) next++;
    if (!Number.isNaN(v)) return v;
    const [a, b] = [known[next - 1] ?? known[next], known[next] ?? known[next - 1]];
    return a === b ? values[a] : values[a] + ((i - a) / (b - a)) * (values[b] - values[a]);
  });
}

/** Straight between entries; level beyond the ends. */
function between(values: Float64Array, at: number): number {
  const place = Math.min(values.length - 1, Math.max(0, at));
  const low = Math.min(values.length - 2, Math.floor(place));
  return values[low] + (place - low) * (values[low + 1] - values[low]);
}
