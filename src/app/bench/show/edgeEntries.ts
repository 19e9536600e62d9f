import type { MarginPoint, SpecimenRecord } from '../../../record/schema.ts';
import { numbers } from '../series.ts';
import { tracedEdge } from '../tracedEdge.ts';
import { entry } from './entry.ts';
import { inSpace, type Look, stretches } from './look.ts';
import { dimension, dot, edgeOn, guide, line, type Mark, type Place, type Shown } from './marks.ts';

type Part = MarginPoint['side'];
type Side = 'left' | 'right';

function sideOf({ record }: Look, side: Part | undefined, words: string): Shown {
  const runs = stretches(record, (point) => side === undefined || point.side === side);
  return {
    words,
    marks: runs.map((run) => line(inSpace(run))),
    arcs: runs.map((run) => [run[0].s, run[run.length - 1].s]),
  };
}

/** A side of the margin, or of a photograph the edge that was traced on that side; null where there is neither. */
function windingOf(look: Look, side: 'left' | 'right', words: string): (Shown & Winding) | null {
  const { record } = look;
  const margin = record.margin.filter((point) => point.side === side);
  if (margin.length > 0) return { ...sideOf(look, side, words), places: inSpace(margin) };
  const places = tracedEdge(record, side).map(([z, y]): Place => [0, y, z]);
  return places.length === 0 ? null : { words, marks: [line(places)], places, traced: true };
}

interface Winding {
  readonly places: readonly Place[];
  readonly traced?: true;
}

/** The winding with what is drawn beside it; what was traced in a photograph is seen edge-on alone. */
function withMarks({ places: _, traced, ...shown }: Shown & Winding, more: readonly Mark[]): Shown {
  const marks = [...shown.marks, ...more];
  return { ...shown, marks: traced ? marks.map(edgeOn) : marks };
}

/** Least-squares height of a side against its length along the axis. */
function heightLine(places: readonly Place[]): (y: number) => number {
  const n = places.length || 1;
  const my = places.reduce((sum, [, y]) => sum + y, 0) / n;
  const mz = places.reduce((sum, [, , z]) => sum + z, 0) / n;
  const syy = places.reduce((sum, [, y]) => sum + (y - my) ** 2, 0);
  const slope = syy > 0 ? places.reduce((sum, [, y, z]) => sum + (y - my) * (z - mz), 0) / syy : 0;
  return (y) => mz + slope * (y - my);
}

/** What is taken from the winding of the margin. */
export const edgeLineEntries = [
  entry(/^edge\.(wander|turns)\.(left|right)$/, (look, [, , side]) => {
    const winding = windingOf(look, side as Side, `the ${side} margin, about its own straight line`);
    if (winding === null) return null;
    const { places } = winding;
    const height = heightLine(places);
    const ends = [places[0], places[places.length - 1]];
    return withMarks(winding, [guide(...ends.map(([x, y]): Place => [x, y, height(y)]))]);
  }),
  entry(/^edge\.range\.(left|right)$/, (look, [, side]) => {
    const words = `the highest and the lowest place of the ${side} margin`;
    const winding = windingOf(look, side as Side, words);
    if (winding === null) return null;
    const { places } = winding;
    const height = heightLine(places);
    const off = ([, y, z]: Place): number => z - height(y);
    const high = places.reduce((best, place) => (off(place) > off(best) ? place : best));
    const low = places.reduce((best, place) => (off(place) < off(best) ? place : best));
    return withMarks(
      winding,
      [high, low].map(([x, y, z]) => dimension([x, y, height(y)], [x, y, z])),
    );
  }),
  entry(/^edge\.sinuosity\.(left|right)$/, (look, [, side]) => {
    const words = `the ${side} margin seen edge-on, beside the straight way`;
    const winding = windingOf(look, side as Side, words);
    if (winding === null) return null;
    const { places } = winding;
    return withMarks(winding, [guide(places[0], places[places.length - 1])]);
  }),
  entry(/^edge\.offset\.(left|right)$/, (look, [, side]) =>
    sideOf(look, side as Part, `the ${side} margin, between the faces’ outermost surfaces`),
  ),
];

interface AnglePlace {
  readonly arc: number;
  readonly angle: number;
  readonly at: Place;
}

function anglePlaces({ series }: SpecimenRecord, side: string | undefined): AnglePlace[] {
  const { edgeAngle } = series;
  const columns = ['arc', 'angle', 'x', 'y', 'z'].map((name) => numbers(edgeAngle, name));
  const sides = edgeAngle?.side ?? [];
  const places: AnglePlace[] = [];
  for (let i = 0; i < sides.length; i++) {
    const [arc, angle, x, y, z] = columns.map((column) => column[i]);
    if (side !== undefined && sides[i] !== side) continue;
    if (arc === null || angle === null || x === null || y === null || z === null) continue;
    places.push({ arc, angle, at: [x, y, z] });
  }
  return places;
}

/** What is taken from the angle between the faces along the margin. */
export const edgeAngleEntries = [
  entry(/^edge\.angle\.(?:(left|right|tip|base)\.)?(min|max)$/, (look, [, side, which]) => {
    const places = anglePlaces(look.record, side);
    if (places.length === 0) return null;
    const better = (a: AnglePlace, b: AnglePlace): boolean =>
      which === 'min' ? a.angle < b.angle : a.angle > b.angle;
    const found = places.reduce((best, place) => (better(place, best) ? place : best));
    return {
      words: `the ${which === 'min' ? 'sharpest' : 'bluntest'} place${side === undefined ? '' : `, ${side}`}`,
      marks: [dot(found.at)],
      station: (100 * found.at[1]) / look.length,
      arcs: [[found.arc, found.arc]],
    };
  }),
  entry(/^edge\.angle\.(?:(left|right|tip|base)\.)?(mean|sd|median)$/, (look, [, side]) =>
    sideOf(look, side as Part | undefined, `${side === undefined ? 'the whole' : `the ${side}`} margin`),
  ),
  entry(/^edge\.angle\.caliper\.(\d+)$/, (look, [, depth]) => ({
    ...sideOf(look, undefined, `the whole margin, the thickness taken ${depth} mm in from it`),
  })),
];
