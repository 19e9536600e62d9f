import type { Pair, SpecimenRecord } from '../record/schema.ts';
import type { NamedRecord } from './tables.ts';

/**
 * Lines and areas of pieces in the structure of GeoJSON (RFC 7946: features, Polygon, LineString; rings closed, outer ones
 * counter-clockwise), but in millimetres of each piece's specimen frame and not in degrees of longitude and latitude.
 * One feature a line, so that the file can be written and read piece by piece.
 */
export const SHAPES_HEAD =
  '{"type": "FeatureCollection", "coordinates": "x, y (and z) in mm in the specimen frame of each piece", "features": [';
export const SHAPES_FOOT = '\n]}\n';

type Position = readonly number[];

interface Geometry {
  readonly type: 'Polygon' | 'MultiPolygon' | 'LineString';
  readonly coordinates: readonly unknown[];
}

/** The features of a piece as text: outline, midline, margin line, sections and hump footprints. No comma at either end. */
export function shapesOf({ name, record }: NamedRecord): string {
  return features(name, record)
    .map((feature) => `\n${JSON.stringify(feature)}`)
    .join(',');
}

function features(name: string, record: SpecimenRecord): object[] {
  const number = record.catalogue.number === undefined ? {} : { catalogue_number: record.catalogue.number };
  const feature = (what: string, geometry: Geometry, more: object = {}): object => ({
    type: 'Feature',
    properties: { name, ...number, what, ...more },
    geometry,
  });
  const { outline, midline, margin, sections, humps } = record;
  const found = [
    feature('outline', polygon([outline.outer, ...outline.inner])),
    feature('midline', { type: 'LineString', coordinates: midline }),
  ];
  if (margin.length > 0) {
    const line = margin.map(({ x, y, z }): Position => [x, y, z]);
    found.push(feature('margin', { type: 'LineString', coordinates: [...line, line[0]] }));
  }
  for (const { station, at, y, points, more } of sections) {
    if (points.length < 3) continue;
    // Loops of one cut lie side by side; each is an area of its own.
    const areas = [points, ...more].map((loop) => [closed(loop.map(([x, z]): Position => [x, y, z]))]);
    found.push(feature('section', { type: 'MultiPolygon', coordinates: areas }, { station, at }));
  }
  for (const { face, station, footprint } of humps) {
    if (footprint.length >= 3) found.push(feature('hump', polygon([footprint]), { face, station }));
  }
  return found;
}

/** The first ring turns counter-clockwise, holes clockwise. */
function polygon(rings: readonly (readonly Pair[])[]): Geometry {
  const turned = rings.map((ring, k) => (twiceArea(ring) > 0 === (k === 0) ? ring : ring.toReversed()));
  return { type: 'Polygon', coordinates: turned.map(closed) };
}

function closed(ring: readonly Position[]): readonly Position[] {
  return [...ring, ring[0]];
}

function twiceArea(ring: readonly Pair[]): number {
  return ring.reduce((sum, [x, y], k) => {
    const [nextX, nextY] = ring[(k + 1) % ring.length];
    return sum + x * nextY - nextX * y;
  }, 0);
}
