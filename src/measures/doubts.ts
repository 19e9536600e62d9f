import { flatShare } from '../geometry/flatShare.ts';
import type { Warning } from '../geometry/types.ts';
import type { Model, Surface } from '../trace/types.ts';
import { breakLike, overlaps } from './breakLike.ts';
import { cutAtStation } from './sectionCuts.ts';
import type { Shared } from './shared.ts';
import type { MeasureSettings } from './types.ts';
import { unscannedMargin } from './unscanned.ts';

/** A stretch is flat where it keeps to a plane within this share of the length, or within its noise. */
const FLAT = 5e-4;
/** Faces of stone are never so flat over so much of the surface; what a piece stands on is. */
const MOST_FLAT = 0.3;
/** Share of the margin along the rim of a hole, and of the plan seen from one side only, that is passed over. */
const LITTLE = 0.02;
/** Share of the plan that must show both faces for numbers of thickness to mean something. */
const BOTH_FACES = 0.9;
/** Percent of the length at either end in which a lump is looked for. */
const END = 25;
/** Times that a lump is thicker than the middle, and its width over its thickness at most. */
const LUMP = { times: 1.5, round: 1.5 };

/**
 * What speaks against the scan being a whole biface and nothing else: something it stood on, a lump at an end, parts that
 * were not scanned. Numbers are given all the same; each doubt says which of them it touches.
 */
export function doubts(model: Model, settings: MeasureSettings, shared: Shared): Warning[] {
  const { surface, margin } = model;
  if (surface === undefined || margin === undefined) return [];
  return [
    ...standing(surface, model),
    ...openMargin(model),
    ...oneSided(shared),
    ...lumpAtEnd(model, shared),
    ...brokenAcross(model, settings, shared),
    ...beyondMargin(margin.length, settings),
  ];
}

function standing({ mesh }: Surface, { length, quality }: Model): Warning[] {
  const share = flatShare(mesh, Math.max(FLAT * length, 3 * quality.noise));
  if (share < MOST_FLAT) return [];
  return [
    {
      code: 'flat-surface',
      text: `${percent(share)} of the surface is one flat plane, as of a table, a turntable or a sawn face: if it is what the piece stood on, cut it away before measuring, because every number includes it.`,
    },
  ];
}

/** A rim of the scan is no edge of the stone: the piece may reach further there. */
function openMargin(model: Model): Warning[] {
  const stretches = unscannedMargin(model);
  const near = stretches.reduce((sum, { points }) => sum + points.length, 0);
  const count = (model.margin?.points.length ?? 0) / 3;
  if (near <= LITTLE * count) return [];
  return [
    {
      code: 'margin-open',
      text: `${percent(near / count)} of the margin runs along the rim of a hole in the scan or over the flat end that closed one, where the stone may reach further: outline, edge and all that rests on them are those of what was scanned; their uncertainties allow for what a bite of such a width may have taken.`,
    },
  ];
}

function oneSided({ thicknessMap: { faceA, faceB, cell }, plan }: Shared): Warning[] {
  let both = 0;
  for (let k = 0; k < faceA.length; k++) if (faceA[k] > faceB[k]) both++;
  const share = Math.min(1, (both * cell * cell) / plan.area);
  if (share >= BOTH_FACES) return [];
  return [
    {
      code: 'faces-incomplete',
      text: `Both faces were scanned over ${percent(share)} of the plan only: thickness, volume, sections and humps are those of that part, or are bridged.`,
    },
  ];
}

/** What nobody has marked as a break and looks like one: a fragment's length is no length of a piece. */
function brokenAcross({ margin, midline }: Model, settings: MeasureSettings, shared: Shared): Warning[] {
  if (margin === undefined) return [];
  const [x, y] = [0, 1].map((k) => margin.points.filter((_, i) => i % 3 === k));
  const width = midline.rightX.reduce((most, right, i) => Math.max(most, right - midline.leftX[i]), 0);
  const likely = breakLike({ arc: margin.arc, x, y, length: margin.length }, shared.edgeAngles, width);
  return likely
    .filter((stretch) => !settings.breaks.some((marked) => overlaps(stretch, marked)))
    .map(({ from, to }) => ({
      code: 'break-like',
      text: `From ${from.toFixed(0)} to ${to.toFixed(0)} mm along the margin (from the tip down the right side) it runs straight across, with steep edges and a corner at either end, as where a piece snapped. If it did, mark the break: length is then told as at least what it is, and symmetry without that end. A butt that was made so looks the same.`,
    }));
}

/** Stretches that were marked on another piece, or in another unit, reach where there is no margin. */
function beyondMargin(length: number, { breaks, excluded = [] }: MeasureSettings): Warning[] {
  const marked = [...breaks, ...excluded.map(({ from, to }) => [from, to] as const)];
  return marked
    .filter((ends) => Math.max(...ends) > length + 1)
    .map(([from, to]) => ({
      code: 'stretch-outside',
      text: `A stretch is marked from ${from.toFixed(0)} to ${to.toFixed(0)} mm along the margin, which is ${length.toFixed(0)} mm long: it was marked on another piece, or before the unit was changed. Mark it anew.`,
    }));
}

/** Clay or a stand that holds an end is thick and round, where a biface is thin. */
function lumpAtEnd({ midline, length }: Model, { cuts, thicknessField: { map } }: Shared): Warning[] {
  const { peak } = cuts;
  const middle = cutAtStation(cuts, 50)?.thickness?.value ?? 0;
  if (peak === undefined) return [];
  const station = (100 * (map.y0 + peak.row * map.cell)) / length;
  if (station > END && station < 100 - END) return [];
  const row = Math.min(midline.y.length - 1, Math.round((station / 100) * (midline.y.length - 1)));
  const width = midline.rightX[row] - midline.leftX[row];
  if (!(peak.value > LUMP.times * middle) || width > LUMP.round * peak.value) return [];
  const times = middle > 0 ? `${(peak.value / middle).toPrecision(2)} times as thick as` : 'thicker than';
  return [
    {
      code: 'lump-at-end',
      text: `Toward the ${station < 50 ? 'base' : 'tip'} the piece is ${times} at its middle, and round: if clay or a stand holds it there, cut it away before measuring.`,
    },
  ];
}

function percent(share: number): string {
  return `${share < 0.005 ? 'less than 1' : Math.round(100 * share)} %`;
}
