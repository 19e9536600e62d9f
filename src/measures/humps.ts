import type { ScanQuality } from '../trace/types.ts';
import { faceEnvelope } from './edgeOffset.ts';
import { sharedError } from './faceError.ts';
import { describeLump } from './humpsDescribe.ts';
import { createFaceFrame, type FaceFrame, faceHeights, searchMap } from './humpsFace.ts';
import { coverLumps, findLumps, type Lump } from './humpsFind.ts';
import { fitReference } from './humpsReference.ts';
import type { Family, Hump, MeasureRow, MeasureSettings, ThicknessMap, Value } from './types.ts';

/** A residual above the reference may be an outlier from this share of a hump's least prominence on. */
const OUTLIER_SHARE = 0.4;
/** Lumps are left out of the second fit from this share of a hump's least prominence on. */
const FIRST_SHARE = 0.6;
/** Beyond a footprint, this share of its radius still belongs to the hump when the reference is fitted without it. */
const FOOT_RIM = 0.25;

const ROWS: readonly MeasureRow[] = [
  {
    id: 'humps.count',
    name: 'Humps',
    unit: 'count',
    definition:
      'Lumps left on the faces: peaks of the excess (height over the margin surface less the reference face) whose topographic prominence is at least 0.5 mm, 5 % of the thickness and eight times the relief of the scars (the robust spread of the face about the reference) and whose footprint is at least 12 mm². The reference is a robust low-dimensional surface fitted to the face itself, which lumps cannot pull up. A hump has a foot: going out from it, the face levels off, where a swell of the face falls off more and more steeply.',
    source: 'own definition',
    needs: 'faces',
    axis: false,
    power: 0,
  },
  {
    id: 'humps.count.a',
    name: 'Humps on Face A',
    unit: 'count',
    definition: 'Humps on Face A.',
    source: 'own definition',
    needs: 'faces',
    axis: false,
    power: 0,
  },
  {
    id: 'humps.count.b',
    name: 'Humps on Face B',
    unit: 'count',
    definition: 'Humps on Face B.',
    source: 'own definition',
    needs: 'faces',
    axis: false,
    power: 0,
  },
  {
    id: 'humps.excess',
    name: 'Excess of humps',
    unit: 'percent',
    definition: 'Volume of all humps above the reference faces, as a share of the volume of the piece.',
    source: 'own definition',
    needs: 'faces',
    axis: false,
    power: 0,
  },
  {
    id: 'humps.tallest',
    name: 'Tallest hump',
    unit: 'mm',
    definition: 'Greatest topographic prominence of a hump; 0 where there is none.',
    source: 'own definition',
    needs: 'faces',
    axis: false,
    power: 1,
  },
];

export const humps: Family = {
  id: 'humps',
  title: 'Humps',
  rows: ROWS,
  compute(model, settings, shared) {
    if (model.margin === undefined || model.surface === undefined) return { values: {} };
    const map = shared.thicknessMap;
    const frame = createFaceFrame(model.margin, model.length, searchMap(map));
    const thickness = thicknesses(map);
    const least = Math.max(settings.humpProminence, settings.humpShare * thickness.greatest);
    const around = {
      model,
      frame,
      map,
      envelope: faceEnvelope(map),
      angles: shared.edgeAngles,
      medianThickness: thickness.median,
    };
    const faces = (['A', 'B'] as const).map((face) => {
      const found = findOnFace(frame, face, least, settings);
      const marked = coverLumps(found.lumps, frame, 0);
      return {
        ...found,
        // Over a hole of the other face a lump has no thickness and is none of the piece.
        humps: found.lumps
          .map((lump) => describeLump(lump, face, found.excess, marked, around))
          .filter(({ thickness }) => thickness > 0),
      };
    });
    const all = faces.flatMap((face) => face.humps).sort((a, b) => b.prominence - a.prominence);
    const spreads = { A: faces[0].spread, B: faces[1].spread };
    const volume = Number(shared.body.volume.value);
    return {
      values: summary(all, spreads, model.quality, volume),
      humps: all,
      excess: { ...frame.map, faceA: faces[0].excess, faceB: faces[1].excess },
    };
  },
};

interface FaceLumps {
  readonly lumps: readonly Lump[];
  readonly excess: Float32Array;
  /** Robust spread of the face about its reference, mm. */
  readonly spread: number;
}

/** Finds lumps over a first reference, then again over one that was fitted without the lumps found. */
function findOnFace(frame: FaceFrame, face: 'A' | 'B', least: number, settings: MeasureSettings): FaceLumps {
  const heights = faceHeights(frame, face);
  const round = (share: number, leaveOut?: Uint8Array): FaceLumps => {
    const reference = fitReference(frame, heights, OUTLIER_SHARE * least, leaveOut);
    const excess = heights.map((h, k) => h - reference.heights[k]);
    const { spread } = reference;
    const limits = { prominence: share * least, footprint: settings.humpFootprint, spread };
    return { lumps: findLumps(heights, excess, frame, limits), excess, spread };
  };
  const first = round(FIRST_SHARE);
  if (first.lumps.length === 0) return first;
  const second = round(1, coverLumps(first.lumps, frame, FOOT_RIM));
  // What scars left standing between them is no hump; it had no say in the reference all the same.
  const relief = settings.humpRelief * second.spread;
  return { ...second, lumps: second.lumps.filter(({ prominence }) => prominence >= relief) };
}

/**
 * Values of the rows. The prominence of a hump is as sure as the level of the ground that it stands on: the relief of the
 * scars under it, averaged over as many of them as its width holds, and the reference fitted to the rest of the face.
 */
function summary(
  all: readonly Hump[],
  spreads: Readonly<Record<'A' | 'B', number>>,
  quality: ScanQuality,
  volume: number,
): Record<string, Value> {
  const onA = all.filter((hump) => hump.face === 'A').length;
  let excess = 0;
  let variance = 0;
  for (const hump of all) {
    excess += hump.volume;
    variance += (groundError(hump, spreads[hump.face]) * hump.area) ** 2;
  }
  const tallest = all[0];
  return {
    'humps.count': { value: all.length },
    'humps.count.a': { value: onA },
    'humps.count.b': { value: all.length - onA },
    'humps.excess': {
      value: (100 * excess) / volume,
      components: { tracing: (100 * Math.sqrt(variance)) / volume },
    },
    'humps.tallest':
      tallest === undefined
        ? { value: 0 }
        : {
            value: tallest.prominence,
            components: {
              tracing: groundError(tallest, spreads[tallest.face]),
              noise: Math.hypot(
                quality.noise / Math.sqrt(Math.max(1, tallest.area)),
                sharedError(quality, tallest.area, 2),
              ),
            },
          },
  };
}

/** Area over which the relief of scars is alike, mm²: a scar is six or seven millimetres wide. */
const SCAR_AREA = 40;
/** Standard uncertainty of the fitted reference under a hump, as a share of the hump's prominence: as heights come out in docs/accuracy.md. */
const REFERENCE_ERROR = 0.08;

/** Standard uncertainty of the level under a hump, mm. */
function groundError(hump: Hump, spread: number): number {
  const scars = Math.max(1, hump.area / SCAR_AREA);
  return Math.hypot(spread / Math.sqrt(scars), REFERENCE_ERROR * hump.prominence);
}

/** Greatest thickness of the map, and the median over its cells, mm. */
function thicknesses({ faceA, faceB }: ThicknessMap): { greatest: number; median: number } {
  const sorted = new Float32Array(faceA.length);
  let count = 0;
  for (let k = 0; k < faceA.length; k++) {
    const t = faceA[k] - faceB[k];
    if (!Number.isNaN(t)) sorted[count++] = t;
  }
  const all = sorted.subarray(0, count).sort();
  return count === 0 ? { greatest: 0, median: 0 } : { greatest: all[count - 1], median: all[count >> 1] };
}
