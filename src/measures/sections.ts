import { calmSeries } from '../geometry/calmSeries.ts';
import type { FacetSag } from '../geometry/facetSag.ts';
import { areaBelow, polygonMoments } from '../geometry/polygonMoments.ts';
import type { Model } from '../trace/types.ts';
import { BENT, faceSag, heightError, SAG_DOUBT, SAG_SHARE, sharedError } from './faceError.ts';
import { widthValue } from './outline.ts';
import { SECTION_STATIONS, type SectionCut } from './sectionCuts.ts';
import { envelopes, FORMS, IRREGULAR, nearestForm, type SectionForm } from './sectionForm.ts';
import { type Margins, marginsAt, outermostOf } from './sectionMargins.ts';
import type { Shared } from './shared.ts';
import { thicknessAcross } from './thickness.ts';
import type { Family, MeasureRow, MeasureUnit, Section, Value } from './types.ts';
import { none } from './values.ts';

/** Sections that every piece has in the table: stations in percent, and the two named ones. */
const PLACES: readonly string[] = [...SECTION_STATIONS.map(String), 'width', 'thickness'];

const PLACE_NAMES: Readonly<Record<string, string>> = {
  width: 'where the piece is widest',
  thickness: 'where the piece is thickest',
};

const placeName = (place: string): string => PLACE_NAMES[place] ?? `at ${place} %`;

function rowsAt(place: string): MeasureRow[] {
  const where = placeName(place);
  const row = (
    what: string,
    name: string,
    unit: MeasureUnit,
    power: MeasureRow['power'],
    definition: string,
  ): MeasureRow => ({
    id: `section.${place}.${what}`,
    name: `Section ${where}: ${name}`,
    unit,
    definition,
    source: what === 'form' || what.startsWith('misfit') ? 'own definition' : 'practice',
    needs: 'faces',
    axis: true,
    power,
  });
  return [
    row(
      'area',
      'area',
      'mm2',
      2,
      'Area of the section square to the length axis; where it falls into several parts (barbs, a hole), of all of them together.',
    ),
    row('width', 'width', 'mm', 1, 'Distance across between the outermost margins of the section.'),
    row(
      'thickness',
      'thickness',
      'mm',
      1,
      'Greatest distance between the faces along one vertical in the section.',
    ),
    row(
      'faces',
      'share of Face A',
      'percent',
      0,
      'Share of the area on Face A’s side of the line that joins the two margins of the section: 50 is alike on both faces.',
    ),
    row(
      'form',
      'form',
      'text',
      0,
      `The ideal that it lies nearest, scaled to unit width and thickness: biconvex (two circular arcs), plano-convex, rhomboid, parallel-sided (flat over 60 % of the width); irregular where the misfit to all exceeds ${IRREGULAR}.`,
    ),
    ...FORMS.map((form) =>
      row(
        `misfit.${form}`,
        `misfit to ${form}`,
        '1',
        0,
        `RMS distance of both faces from the ${form} ideal, as a share of the thickness.`,
      ),
    ),
  ];
}

export const sections: Family = {
  id: 'sections',
  title: 'Sections',
  rows: PLACES.flatMap(rowsAt),
  compute(model, settings, shared) {
    const values: Record<string, Value> = {};
    for (const { id } of sections.rows) values[id] = none('the scan has no section there');
    const list: Section[] = [];
    for (const cut of shared.cuts.list) {
      const described = describe(cut, model);
      if (described === undefined) continue;
      const { at, station } = cut;
      if (at !== 'station' || settings.sectionStations.includes(station)) list.push(described.section);
      const place = at === 'station' ? String(station) : at;
      if (PLACES.includes(place)) {
        Object.assign(values, valuesOf(place, cut, described, model, shared));
      }
    }
    return { values, sections: list };
  },
};

interface Described {
  readonly section: Section;
  readonly form: SectionForm;
}

function describe({ at, station, y, loops, thickness }: SectionCut, model: Model): Described | undefined {
  if (loops.length === 0) return undefined;
  const area = polygonMoments(loops).area;
  const margins = (model.margin && marginsAt(model.margin, y)) ?? outermostOf(loops);
  const width = margins.right[0] - margins.left[0];
  if (!(area > 0) || !(width > 0)) return undefined;
  const { top, bottom } = envelopes(loops, margins.left, margins.right);
  const form = nearestForm(top, bottom, width);
  return {
    section: {
      station,
      at,
      y,
      loops,
      area,
      width,
      thickness: thickness?.value ?? Math.max(...top.map((z, i) => z - bottom[i])),
      faces: shareOfFaceA(loops, margins, area),
      form: form.form,
    },
    form,
  };
}

/** Percent of the area over the line between the margins. A shear that lays this line level keeps areas. */
function shareOfFaceA(loops: readonly Float64Array[], { left, right }: Margins, area: number): number {
  const slope = (right[1] - left[1]) / (right[0] - left[0]);
  const level = loops.map((loop) =>
    loop.map((v, i) => (i % 2 === 0 ? v : v - left[1] - slope * (loop[i - 1] - left[0]))),
  );
  return Math.min(100, Math.max(0, 100 * (1 - areaBelow(level, 0) / area)));
}

function valuesOf(
  place: string,
  { closed, thickness }: SectionCut,
  { section, form: { form, misfit } }: Described,
  model: Model,
  shared: Shared,
): Record<string, Value> {
  const id = (what: string): string => `section.${place}.${what}`;
  const { noise, meanEdge, grain = meanEdge } = model.quality;
  // Along a section noise is independent from grain to grain.
  const around = 2 * (section.width + section.thickness);
  const averaged = noise / Math.sqrt(Math.max(1, around / Math.max(grain, 1e-9)));
  const sag = faceSag(meanEdge, model.length);
  // What was bridged across a gap may be wrong by as much as it is long: at most a few percent of the section.
  const gap = closed ? 0 : 0.03 * section.area;
  const areaSlope = areaSlopeAt(section.y, model, shared);
  const cutOff = sagAt(section.y, shared.body.sag);
  const lost = shared.body.even
    ? Math.hypot(SAG_SHARE.section * cutOff.mean, SAG_DOUBT.section * cutOff.range)
    : SAG_SHARE.uneven * Math.hypot(cutOff.mean, cutOff.range);
  const area = calmArea(section, around * averaged, model, shared);
  const shift = shared.plan.lengthError.at(section.y / model.length);
  const margin = heightError(model.quality);
  return {
    [id('area')]: {
      value: area.value,
      components: {
        noise: Math.hypot(BENT * area.error, around * sharedError(model.quality, around)),
        resolution: Math.hypot(lost, gap),
        tracing: areaSlope * shift,
      },
    },
    [id('width')]: { ...widthValue(model, shared.plan, section.y), value: section.width },
    [id('thickness')]:
      thickness === undefined
        ? { value: section.thickness, components: { noise, resolution: 2 * sag } }
        : thicknessAcross(model, shared, thickness, section.y),
    // The line between the margins rests on two heights.
    [id('faces')]: {
      value: section.faces,
      components: { tracing: (100 * section.width * margin) / Math.SQRT2 / section.area },
    },
    [id('form')]: { value: form },
    ...Object.fromEntries(
      FORMS.map((name) => [
        id(`misfit.${name}`),
        {
          value: misfit[name],
          components: { noise: averaged / section.thickness, tracing: margin / section.thickness / 2 },
        },
      ]),
    ),
  };
}

/** One plane through a noisy scan meets few vertices near the ends: its neighbours are heard too. */
function calmArea(
  { y, area }: Section,
  sigma: number,
  { midline, quality }: Model,
  { sectionAreas }: Shared,
): { value: number; error: number } {
  if (sectionAreas === undefined) return { value: area, error: sigma };
  return calmSeries(midline.y, sectionAreas, y, area, sigma, quality.grain ?? quality.meanEdge);
}

/** Layers to either side of a section over which what triangles cut off is averaged: a few of them have little noise. */
const SAG_REACH = 2;

/** What triangles cut off the area of a section, mm²: of the layers about it the mean, and how far they lie apart. */
function sagAt(y: number, { layers, from, to }: FacetSag): { readonly mean: number; readonly range: number } {
  const thick = (to - from) / layers.length;
  const middle = Math.floor((y - from) / thick);
  const first = Math.max(0, middle - SAG_REACH);
  const about = layers.subarray(first, Math.min(layers.length, middle + SAG_REACH + 1));
  const sum = about.reduce((all, v) => all + v, 0);
  return { mean: sum / (about.length * thick), range: (Math.max(...about) - Math.min(...about)) / thick };
}

/** How fast the area changes along y: what an error in the place of the piece's end costs. */
function areaSlopeAt(y: number, { midline, length }: Model, { sectionAreas: areas }: Shared): number {
  if (areas === undefined) return 0;
  const last = midline.y.length - 1;
  const k = Math.min(last - 1, Math.max(1, Math.round((y / length) * last)));
  return Math.abs(areas[k + 1] - areas[k - 1]) / (midline.y[k + 1] - midline.y[k - 1]);
}
