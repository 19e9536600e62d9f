import { areaBelow, polygonMoments } from '../geometry/polygonMoments.ts';
import { type Slice, sliceMesh } from '../geometry/slices.ts';
import type { Model } from '../trace/types.ts';
import { envelopes, FORMS, IRREGULAR, nearestForm, type SectionForm } from './sectionForm.ts';
import {
  greatestThickness,
  placeOf,
  type ThicknessField,
  thicknessAt,
  thicknessField,
} from './thicknessField.ts';
import type { Family, MeasureRow, MeasureUnit, Section, Value } from './types.ts';
import { none } from './values.ts';

/** Sections that every piece has in the table: stations in percent, and the two named ones. */
const PLACES = ['10', '20', '30', '40', '50', '60', '70', '80', '90', 'width', 'thickness'] as const;
type Place = (typeof PLACES)[number];

const PLACE_NAMES: Readonly<Record<string, string>> = {
  width: 'where the piece is widest',
  thickness: 'where the piece is thickest',
};

const placeName = (place: Place): string => PLACE_NAMES[place] ?? `at ${place} %`;

function rowsAt(place: Place): MeasureRow[] {
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
    row('area', 'area', 'mm2', 2, 'Area of the section square to the length axis; all its parts together.'),
    row('width', 'width', 'mm', 1, 'Extent of the section across, between its outermost margins.'),
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
    const { surface, length } = model;
    if (surface === undefined) throw new Error('sections need a scanned surface');
    const field = thicknessField(model, shared.thicknessMap);
    const peak = greatestThickness(field);
    const wanted = (
      [
        ...stationsOf(settings.sectionStations).map((station) => ({
          at: 'station' as const,
          y: (station / 100) * length,
        })),
        { at: 'width', y: shared.plan.greatest.y },
        ...(peak === undefined ? [] : [{ at: 'thickness' as const, y: placeOf(peak, field.map).y }]),
      ] as Wanted[]
    ).sort((a, b) => a.y - b.y);
    const slices = sliceMesh(
      surface.mesh,
      surface.twins,
      Float64Array.from(wanted, ({ y }) => y),
      1,
    );
    const values: Record<string, Value> = {};
    for (const { id } of sections.rows) values[id] = none('the scan has no section there');
    const list: Section[] = [];
    slices.forEach((slice, i) => {
      const cut = describe(slice, wanted[i].at, model, field);
      if (cut === undefined) return;
      const { section, form } = cut;
      if (section.at !== 'station' || settings.sectionStations.includes(Math.round(section.station)))
        list.push(section);
      const place = section.at === 'station' ? String(Math.round(section.station)) : section.at;
      if ((PLACES as readonly string[]).includes(place)) {
        Object.assign(
          values,
          valuesOf(
            place,
            section,
            form,
            model,
            slice.loops.every(({ closed }) => closed),
          ),
        );
      }
    });
    return { values, sections: list };
  },
};

/** A section to be cut: why, and at which height. */
interface Wanted {
  readonly at: Section['at'];
  readonly y: number;
}

/** The standard stations and those asked for, each once. */
function stationsOf(asked: readonly number[]): number[] {
  const standard = PLACES.map(Number).filter((station) => !Number.isNaN(station));
  return [...new Set([...standard, ...asked])].filter((station) => station > 0 && station < 100);
}

function describe(
  slice: Slice,
  at: Section['at'],
  model: Model,
  field: ThicknessField,
): { section: Section; form: SectionForm } | undefined {
  const loops = slice.loops.map(({ points }) => points).filter((points) => points.length >= 6);
  if (loops.length === 0) return undefined;
  let area = 0;
  let left: [number, number] = [Infinity, 0];
  let right: [number, number] = [-Infinity, 0];
  for (const loop of loops) {
    area += polygonMoments([loop]).area;
    for (let i = 0; i < loop.length; i += 2) {
      if (loop[i] < left[0]) left = [loop[i], loop[i + 1]];
      if (loop[i] > right[0]) right = [loop[i], loop[i + 1]];
    }
  }
  const width = right[0] - left[0];
  if (!(area > 0) || !(width > 0)) return undefined;
  const slope = (right[1] - left[1]) / width;
  // A shear keeps areas: with the line between the margins laid level, what lies below zero is Face B's share.
  const level = loops.map((loop) =>
    loop.map((v, i) => (i % 2 === 0 ? v : v - left[1] - slope * (loop[i - 1] - left[0]))),
  );
  const { top, bottom } = envelopes(loops, left, right);
  const thick = thicknessAt(field, slice.level)?.value ?? Math.max(...top.map((z, i) => z - bottom[i]));
  const form = nearestForm(top, bottom, width);
  return {
    section: {
      station: (100 * slice.level) / model.length,
      at,
      y: slice.level,
      loops,
      area,
      width,
      thickness: thick,
      faces: Math.min(100, Math.max(0, 100 * (1 - areaBelow(level, 0) / area))),
      form: form.form,
    },
    form,
  };
}

function valuesOf(
  place: string,
  section: Section,
  { form, misfit }: SectionForm,
  { quality }: Model,
  closed: boolean,
): Record<string, Value> {
  const id = (what: string): string => `section.${place}.${what}`;
  const { noise, meanEdge } = quality;
  // Along a section noise is independent from edge to edge.
  const perimeter = 2 * (section.width + section.thickness);
  const averaged = noise / Math.sqrt(Math.max(1, perimeter / Math.max(meanEdge, 1e-9)));
  const flatness = (0.05 * meanEdge) / Math.sqrt(3);
  const gap = closed ? 0 : 0.05 * section.area;
  return {
    [id('area')]: {
      value: section.area,
      components: { noise: perimeter * averaged, resolution: Math.hypot(perimeter * flatness * 0.2, gap) },
    },
    [id('width')]: { value: section.width, components: { noise: noise * Math.SQRT2, resolution: flatness } },
    [id('thickness')]: { value: section.thickness, components: { noise: noise / 2, resolution: flatness } },
    [id('faces')]: {
      value: section.faces,
      // The line between the margins rests on two points.
      components: { noise: (100 * section.width * noise) / Math.SQRT2 / 2 / section.area, resolution: 0.1 },
    },
    [id('form')]: { value: form },
    ...Object.fromEntries(
      FORMS.map((name) => [
        id(`misfit.${name}`),
        {
          value: misfit[name],
          components: { noise: averaged / section.thickness, resolution: flatness / section.thickness },
        },
      ]),
    ),
  };
}
