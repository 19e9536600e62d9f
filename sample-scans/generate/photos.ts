import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { shadeRelief } from '../../src/geometry/shadeRelief.ts';
import type { ThicknessMap } from '../../src/measures/types.ts';
import { type MeasuredScan, measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { makePhoto, type PhotoSpec } from '../../tests/pieces/photo.ts';
import type { Camera } from '../../tests/pieces/photoCamera.ts';
import type { PieceInPhoto } from '../../tests/pieces/photoScene.ts';

/** A lamp that rakes from the upper left of the piece. */
const LAMP = { azimuth: 135, elevation: 35, ambient: 0.35 } as const;
/** A relief is this bright where it lies level. */
const LEVEL = (1 - LAMP.ambient) * Math.sin((LAMP.elevation * Math.PI) / 180) + LAMP.ambient;
const QUALITY = 82;
/** Diagonal of a frame of film, mm. */
const FILM = Math.hypot(36, 24);

interface Shot {
  readonly file: string;
  readonly shows: string;
  /** What `measure` is told, as on its command line. */
  readonly options: readonly string[];
  readonly spec: PhotoSpec;
  /** Written into the EXIF, so that the camera's height is known. */
  readonly exif?: true;
  /** The winding edge that is seen, x y pairs in pixels. */
  readonly edge?: (camera: Camera) => number[];
}

/** Takes photographs of pieces of the demo drawer, with the truth beside them. The same bytes every time. */
export async function writePhotos(folder: string): Promise<void> {
  const point = await scanned(folder, 'qt-41-4-notched-point.glb');
  const late = await scanned(folder, 'qt-41-3-late-biface.ply');
  const large = await scanned(folder, 'qt-41-15-large-biface.ply');
  const shots = [...matShots(point), ...viewShots(late), ...barShots(large), ...badShots(point)];
  const truth = [];
  for (const shot of shots) truth.push(await take(folder, shot));
  writeFileSync(join(folder, 'photos.truth.json'), `${JSON.stringify({ photos: truth }, null, 1)}\n`);
}

async function scanned(folder: string, file: string): Promise<MeasuredScan> {
  return measureScan(readFileSync(join(folder, file)), file, DEFAULT_SETTINGS);
}

async function take(folder: string, { file, shows, options, spec, exif, edge }: Shot): Promise<unknown> {
  const { pixels, seen, camera } = makePhoto(spec);
  const { width, height, focal } = spec.camera;
  const film = ((focal * FILM) / Math.hypot(width, height)).toFixed(0);
  const picture = sharp(pixels.rgba, { raw: { width, height, channels: 4 } })
    .removeAlpha()
    .jpeg({ quality: QUALITY, chromaSubsampling: '4:4:4' });
  await (exif ? picture.withExif({ IFD2: { FocalLengthIn35mmFilm: film } }) : picture).toFile(
    join(folder, file),
  );
  return {
    file,
    shows,
    options,
    outlines: seen.map((ring) => Array.from(ring, (v) => Math.round(v * 100) / 100)),
    lengths: spec.pieces?.map(({ outline }) => extentOf(outline)) ?? [],
    ...(edge === undefined ? {} : { edge: edge(camera) }),
  };
}

/** Along and across the piece's own axis, mm. */
function extentOf(outline: Float64Array): { along: number; across: number } {
  const range = (first: number): number => {
    const values = outline.filter((_, i) => i % 2 === first);
    return values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b));
  };
  const round = (v: number): number => Math.round(v * 1000) / 1000;
  return { along: round(range(1)), across: round(range(0)) };
}

/** On the scale mat, the camera leaning by 8°. */
function matShots(point: MeasuredScan): Shot[] {
  const spec: PhotoSpec = {
    // The focal length is what the EXIF says, to the whole millimetre.
    camera: {
      width: 1700,
      height: 2350,
      focal: (52 / FILM) * Math.hypot(1700, 2350),
      distance: 430,
      tilt: 8,
      azimuth: 70,
      roll: 2,
      k1: -0.03,
    },
    light: { backdrop: 'wood', falloff: 0.3, from: 120, shadow: 0.45, softness: 2.5 },
    mat: 'A4',
    pieces: [face(point, 'A', { x: 8, y: 12, angle: -24 }, 'jasper', 3)],
    seed: 411,
    blur: 0.8,
    noise: 2,
  };
  const options = ['--mat', '--printed-bar', '100', '--thickness', '6'];
  return [
    { file: 'qt-41-4-photo.jpg', shows: 'on the scale mat, camera leaning by 8°', options, spec, exif: true },
  ];
}

/** Where the piece stands on its edge. */
const EDGE_PLACE = { x: 22, y: 1, angle: 3 } as const;

/** Face A, Face B and edge-on beside a bar of 50 mm that was raised to the height of the margin. */
function viewShots(late: MeasuredScan): Shot[] {
  const options = ['--bar', '50mm'];
  const shot = (view: string, piece: PieceInPhoto, seed: number): Shot => ({
    file: `qt-41-3-photo-${view}.jpg`,
    shows: view === 'left' ? 'edge-on, from the left' : `Face ${view}`,
    options,
    spec: {
      camera: { width: 1500, height: 1250, focal: 4500, distance: 450 },
      light: { backdrop: 'blue', falloff: 0.35, from: 135, shadow: 0.4, softness: 3 },
      bars: [{ place: { x: -38, y: -42, angle: 3 }, block: 10, blocks: 5, thickness: 5, rim: 4 }],
      labels: [{ place: { x: -50, y: 38 }, width: 34, height: 18 }],
      pieces: [piece],
      seed,
      blur: 0.8,
      noise: 2,
    },
  });
  return [
    shot('A', face(late, 'A', { x: 22, y: 2, angle: 8 }, 'flint', 0), 412),
    shot('B', face(late, 'B', { x: 22, y: 0, angle: -5 }, 'flint', 0), 413),
    { ...shot('left', edge(late, EDGE_PLACE), 414), edge: (camera) => seenEdge(late, EDGE_PLACE, camera) },
  ];
}

/** Glossy black on wood, beside a bar. */
function barShots(large: MeasuredScan): Shot[] {
  const spec: PhotoSpec = {
    camera: { width: 1700, height: 1400, focal: 4500, distance: 640 },
    light: { backdrop: 'wood', falloff: 0.3, from: 150, shadow: 0.5, softness: 4 },
    bars: [{ place: { x: -70, y: -72, angle: 1 }, block: 10, blocks: 5, thickness: 6, rim: 4 }],
    pieces: [face(large, 'A', { x: 2, y: 8, angle: 68 }, 'obsidian', 0)],
    seed: 415,
    blur: 0.9,
    noise: 2,
  };
  return [{ file: 'qt-41-15-photo.jpg', shows: 'on wood beside a bar', options: ['--bar', '50mm'], spec }];
}

/** Out of focus and without a scale: to be refused. */
function badShots(point: MeasuredScan): Shot[] {
  const spec: PhotoSpec = {
    camera: { width: 800, height: 600, focal: 2000, distance: 420 },
    light: { backdrop: 'grey', falloff: 0.5, from: 20, shadow: 0.5, softness: 5 },
    pieces: [face(point, 'A', { x: 0, y: 0, angle: 15 }, 'flint', 3)],
    seed: 416,
    blur: 6,
    noise: 3,
  };
  return [{ file: 'unusable-photo.jpg', shows: 'out of focus, without a scale', options: [], spec }];
}

/** One face with its relief; Face B is mirrored, as it is seen from behind. */
function face(
  { record, result }: MeasuredScan,
  which: 'A' | 'B',
  place: PieceInPhoto['place'],
  stone: PieceInPhoto['stone'],
  height: number,
): PieceInPhoto {
  const { length } = record.frame;
  const side = which === 'A' ? 1 : -1;
  const points = record.outline.outer.map(([x, y]) => [side * x, y - length / 2] as const);
  const ring = which === 'A' ? points : points.toReversed();
  const map = result.thicknessMap!;
  const heights = which === 'A' ? map.faceA : map.faceB.map((z) => -z);
  // From behind the lamp's left is the piece's right.
  const lamp = which === 'A' ? LAMP : { ...LAMP, azimuth: 180 - LAMP.azimuth };
  const light = shadeRelief(heights, map.columns, map.rows, map.cell, lamp);
  return {
    outline: Float64Array.from(ring.flat()),
    place,
    height,
    stone,
    relief: (x, y) => brightness(map, light, side * x, y + length / 2),
  };
}

function brightness(map: ThicknessMap, light: Float32Array, x: number, y: number): number {
  const u = Math.min(map.columns - 1, Math.max(0, Math.round((x - map.x0) / map.cell)));
  const v = Math.min(map.rows - 1, Math.max(0, Math.round((y - map.y0) / map.cell)));
  const value = light[v * map.columns + u];
  return Number.isNaN(value) ? 1 : value / LEVEL;
}

/** Share of light on the faces to the left and to the right of the winding edge. */
const [LIT, SHADED] = [1.1, 0.72];

/** The silhouette from the left: Face A to the right, in the shade; the two faces meet along the left margin. */
function edge(scan: MeasuredScan, place: PieceInPhoto['place']): PieceInPhoto {
  const { record } = scan;
  const winding = windingEdge(scan);
  const { y, faceA, faceB } = record.profile;
  const { length } = record.frame;
  const right = y.map((at, k) => [faceA[k], at - length / 2] as const);
  const left = y.map((at, k) => [faceB[k], at - length / 2] as const).toReversed();
  return {
    outline: Float64Array.from([...right, ...left].flat()),
    place,
    height: 0,
    stone: 'flint',
    relief(x, at) {
      // Mixed within the pixel that the edge runs through.
      const share = Math.min(1, Math.max(0, (x - winding(at)) / PIXEL + 0.5));
      return LIT + (SHADED - LIT) * share;
    },
  };
}

/** Of the edge-on photograph, mm. */
const PIXEL = 0.1;

/** Height of the left margin over the margin plane by the place along the length, mm from the middle. */
function windingEdge({ record }: MeasuredScan): (at: number) => number {
  const { length } = record.frame;
  const side = record.margin.filter(({ side }) => side === 'left').toSorted((a, b) => a.y - b.y);
  return (at) => {
    const y = Math.min(side[side.length - 1].y, Math.max(side[0].y, at + length / 2));
    const k = Math.max(
      1,
      side.findIndex((point) => point.y >= y),
    );
    const [a, b] = [side[k - 1], side[k]];
    const share = b.y > a.y ? (y - a.y) / (b.y - a.y) : 0;
    return a.z + share * (b.z - a.z);
  };
}

/** The winding edge as it is seen in the picture of `edge`, every millimetre from station 5 to 95, pixels. */
function seenEdge(scan: MeasuredScan, place: PieceInPhoto['place'], camera: Camera): number[] {
  const { length } = scan.record.frame;
  const winding = windingEdge(scan);
  const turn = ((place.angle ?? 0) * Math.PI) / 180;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const seen: number[] = [];
  for (let at = -0.45 * length; at <= 0.45 * length; at++) {
    const x = winding(at);
    seen.push(...camera.toImage(place.x + c * x - s * at, place.y + s * x + c * at, 0));
  }
  return seen.map((v) => Math.round(v * 100) / 100);
}
