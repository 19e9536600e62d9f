import type { Pair } from '../../../record/schema.ts';
import { type Look, thickestOf } from './look.ts';
import { dimension, edgeOn, guide, type Mark, type Place, ring } from './marks.ts';

/** Strokes that several measures share. */

export function lengthStroke({ length, chord }: Look): Mark[] {
  const reach = (chord(length / 2).right - chord(length / 2).left) / 4;
  return [
    dimension([0, 0, 0], [0, length, 0]),
    guide([-reach, 0, 0], [reach, 0, 0]),
    guide([-reach, length, 0], [reach, length, 0]),
  ];
}

/** The width at a height over the base. */
export function widthStroke(look: Look, y: number): Mark {
  const { left, right, y: level } = look.chord(y);
  return dimension([left, level, 0], [right, level, 0]);
}

export const greatestWidthStroke = ({ greatest: { left, right, y } }: Look): Mark =>
  dimension([left, y, 0], [right, y, 0]);

/** The greatest thickness, where the record has it; null where it is not to be had. */
export function thicknessStroke(look: Look): Mark | null {
  const section = look.section('thickness');
  const x = look.value('thickness.offset');
  const at = section && thickestOf(section, x ?? undefined);
  if (section && at) return dimension([at.x, section.y, at.low], [at.x, section.y, at.high]);
  const station = look.value('thickness.station');
  return station === null ? null : extentStroke(look, station);
}

/** The whole extent seen edge-on at a station, percent of the length; null where no such view was had. */
export function extentStroke({ record: { profile }, length }: Look, station: number): Mark | null {
  if (profile.y.length === 0) return null;
  const level = (station / 100) * length;
  const k = profile.y.reduce(
    (best, y, i) => (Math.abs(y - level) < Math.abs(profile.y[best] - level) ? i : best),
    0,
  );
  return edgeOn(dimension([0, profile.y[k], profile.faceB[k]], [0, profile.y[k], profile.faceA[k]]));
}

/**
 * The thickness as a photograph from the tip alone tells it: from jaw to jaw, as wide as the piece. It tells no station;
 * null where something tells more, or nothing any.
 */
export function jawStrokes(look: Look): Mark[] | null {
  const thickness = look.value('thickness.box');
  if (thickness === null || look.record.profile.y.length > 0 || look.section('thickness')) return null;
  const { left, right, y } = look.greatest;
  const jaw = (z: number): Mark => edgeOn(guide([left, y, z], [right, y, z]));
  const middle = (left + right) / 2;
  const half = thickness / 2;
  return [edgeOn(dimension([middle, y, -half], [middle, y, half])), jaw(-half), jaw(half)];
}

export const axisStroke = ({ length }: Look): Mark => guide([0, -0.03 * length, 0], [0, 1.03 * length, 0]);

export const outlineStrokes = ({ rings }: Look): Mark[] => rings.map(ring);

/** The silhouette seen edge-on. */
export function profileStroke({ record: { profile } }: Look): Mark {
  const side = (z: readonly number[]): Place[] => profile.y.map((y, i) => [0, y, z[i]]);
  return ring([...side(profile.faceA), ...side(profile.faceB).toReversed()]);
}

/** The outline mirrored in a line of the plan through `x` at mid-length, turned by so many degrees from the axis. */
export function mirroredStrokes({ record, rings, length }: Look, degrees: number, x: number): Mark[] {
  const turn = (degrees * Math.PI) / 180;
  const [dx, dy] = [-Math.sin(turn), Math.cos(turn)];
  const mirror = ([px, py]: Pair): Place => {
    const [vx, vy] = [px - x, py - length / 2];
    const along = vx * dx + vy * dy;
    return [x + 2 * along * dx - vx, length / 2 + 2 * along * dy - vy, 0];
  };
  const end = (by: number): Place => [x + by * dx, length / 2 + by * dy, 0];
  return [
    ring(rings[0]),
    guide(...record.outline.outer.map(mirror), mirror(record.outline.outer[0])),
    guide(end(-0.54 * length), end(0.54 * length)),
  ];
}
