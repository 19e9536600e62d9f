import type { RecordHump } from '../../../record/schema.ts';
import { entry } from './entry.ts';
import { type Look, loopsOf, thickestOf } from './look.ts';
import { dimension, dot, edgeOn, guide, line, type Mark, type Place, ring, type Shown } from './marks.ts';
import {
  extentStroke,
  greatestWidthStroke,
  jawStrokes,
  outlineStrokes,
  profileStroke,
  thicknessStroke,
} from './strokes.ts';

/** What is taken from both faces at once. */
export const thicknessEntries = [
  entry(/^thickness(\.station|\.offset)?$/, (look) => {
    const stroke = thicknessStroke(look);
    const section = look.section('thickness');
    if (stroke === null) return seenFromTip(look);
    if (section === undefined) return seenEdgeOn(look, stroke, 'where it is thickest edge-on');
    return {
      words: 'from face to face where that is most',
      marks: [stroke, ...loopsOf(section).map((loop) => guide(...loop, loop[0]))],
      station: section.station,
    };
  }),
  entry(/^width\.thickness$/, (look) => {
    const stroke = thicknessStroke(look);
    const jaws = jawStrokes(look);
    const width = greatestWidthStroke(look);
    const words = 'greatest width over thickness';
    if (jaws !== null) return { words, marks: [width, ...jaws], fromTip: true };
    return stroke && { words, marks: [width, stroke] };
  }),
  entry(/^thickness\.box$/, (look) => {
    const { y, faceA, faceB } = look.record.profile;
    if (y.length === 0) return seenFromTip(look);
    const top = faceA.reduce((best, z, i) => (z > faceA[best] ? i : best), 0);
    const low = faceB.reduce((best, z, i) => (z < faceB[best] ? i : best), 0);
    const level = 0.5 * look.length;
    return {
      words: 'between jaws that close on both faces',
      marks: [
        dimension([0, level, faceB[low]], [0, level, faceA[top]]),
        guide([0, 0, faceA[top]], [0, look.length, faceA[top]]),
        guide([0, 0, faceB[low]], [0, look.length, faceB[low]]),
        dot([0, y[top], faceA[top]]),
        dot([0, y[low], faceB[low]]),
      ],
    };
  }),
  entry(/^(volume|surface|thickness\.mean|mass\.estimated)$/, (look) => ({
    words: 'the whole body',
    marks: [...outlineStrokes(look), profileStroke(look)],
  })),
  entry(/^thickness\.at\.(\d+)$/, (look, [, at]) => {
    const station = Number(at);
    const extent = extentStroke(look, station);
    return (
      sectionShown(look, station, 'thickness') ??
      (extent && seenEdgeOn(look, extent, `the whole extent seen edge-on at station ${station}`))
    );
  }),
  entry(/^bow\.profile$/, (look) => {
    const middles = look.record.sections
      .filter(({ at }) => at === 'station')
      .flatMap((section): Place[] => {
        const x = midlineX(look, section.y);
        const at = thickestOf(section, x);
        return at ? [[x, section.y, (at.low + at.high) / 2]] : [];
      })
      .toSorted((a, b) => a[1] - b[1]);
    if (middles.length < 2) return middleSeenEdgeOn(look);
    return {
      words: 'the middle between the faces along the midline, at the listed sections',
      marks: [line(middles), guide(middles[0], middles[middles.length - 1])],
    };
  }),
];

function seenFromTip(look: Look): Shown | null {
  const marks = jawStrokes(look);
  return marks && { words: 'between jaws that close on both faces, seen from the tip', marks, fromTip: true };
}

/** What silhouettes alone tell: the stroke, within the view that it is taken from. */
function seenEdgeOn(look: Look, stroke: Mark, words: string): Shown {
  const [[, y]] = stroke.points;
  return { words, marks: [stroke, profileStroke(look)], station: (100 * y) / look.length };
}

function middleSeenEdgeOn({ record: { profile }, length }: Look): Shown | null {
  if (profile.y.length < 2) return null;
  const middles = profile.y.map((y, k): Place => [0, y, (profile.faceA[k] + profile.faceB[k]) / 2]);
  const far = middles.reduce((best, place) => (Math.abs(place[2]) > Math.abs(best[2]) ? place : best));
  return {
    words: 'the middle between the faces seen edge-on, from its chord',
    marks: [edgeOn(line(middles)), edgeOn(dimension([0, far[1], 0], far))],
    station: (100 * far[1]) / length,
  };
}

function midlineX({ record }: Look, y: number): number {
  return record.midline.reduce((best, at) => (Math.abs(at[1] - y) < Math.abs(best[1] - y) ? at : best))[0];
}

function sectionShown(look: Look, at: number | 'width' | 'thickness', what: string): Shown | null {
  const section = look.section(at);
  if (section === undefined) return null;
  const { station, y, points } = section;
  const cut = loopsOf(section);
  const place = typeof at === 'number' ? `station ${at}` : `the greatest ${at}`;
  const left = points.reduce((best, point) => (point[0] < best[0] ? point : best), points[0]);
  const right = points.reduce((best, point) => (point[0] > best[0] ? point : best), points[0]);
  if (what === 'thickness') {
    const found = thickestOf(section);
    if (found === null) return null;
    const across = dimension([found.x, y, found.low], [found.x, y, found.high]);
    return {
      words: `the thickest place of the section at ${place}`,
      marks: [...cut.map((loop) => guide(...loop, loop[0])), across],
      station,
    };
  }
  if (what === 'width') {
    const level = (left[1] + right[1]) / 2;
    return {
      words: `from edge to edge of the section at ${place}`,
      marks: [
        ...cut.map((loop) => guide(...loop, loop[0])),
        dimension([left[0], y, level], [right[0], y, level]),
      ],
      station,
    };
  }
  const edges: Mark[] = what === 'faces' ? [line([inPlane(left, y), inPlane(right, y)])] : [];
  return { words: `the section at ${place}`, marks: [...cut.map(ring), ...edges], station };
}

const inPlane = ([x, z]: readonly [number, number], y: number): Place => [x, y, z];

/** What is taken from one section. */
export const sectionEntries = [
  entry(
    /^section\.(\d+|width|thickness)\.(area|width|thickness|faces|form|misfit\..+)$/,
    (look, [, at, what]) => sectionShown(look, at === 'width' || at === 'thickness' ? at : Number(at), what),
  ),
];

/** What is taken from the humps. */
export const humpEntries = [
  entry(/^humps\.(count|excess)(?:\.([ab]))?$/, ({ record }, [, , face]) => {
    const meant = record.humps.filter((hump) => face === undefined || hump.face === face.toUpperCase());
    return meant.length === 0 ? null : { words: 'the humps’ outlines', marks: meant.map(footprint) };
  }),
  entry(/^humps\.tallest$/, ({ record }) => {
    const index = record.humps.reduce(
      (best, { prominence }, i) => (best < 0 || prominence > record.humps[best].prominence ? i : best),
      -1,
    );
    const hump = record.humps[index];
    if (hump === undefined) return null;
    return {
      words: `the tallest hump, on Face ${hump.face}`,
      marks: [footprint(hump), dot(hump.peak)],
      station: hump.station,
      hump: index,
    };
  }),
];

const footprint = (hump: RecordHump): Mark => ring(hump.footprint.map(([x, y]) => [x, y, hump.peak[2]]));
