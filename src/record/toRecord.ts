import type { Points2, Warning } from '../geometry/types.ts';
import type { Photo, PhotoScale } from '../intake/photoTypes.ts';
import { MM_PER_UNIT, type Scan } from '../intake/types.ts';
import type { Hump, Measurement, MeasureResult, Section, Series, ThicknessMap } from '../measures/types.ts';
import { drawnShare } from '../trace/photoCorrections.ts';
import type { TracedPhoto } from '../trace/tracePhoto.ts';
import { type EdgeOn, type Frame, type Model, SIDES } from '../trace/types.ts';
import { ENGINE } from './engine.ts';
import { coordinatePlace, lastPlace, roundAt, roundMeasured, roundUncertainty } from './rounding.ts';
import {
  type Catalogue,
  type Column,
  type MarginPoint,
  type Pair,
  type PhotoSource,
  type PhotoView,
  type Profile,
  RECORD_FORMAT,
  RECORD_VERSION,
  type RecordFrame,
  type RecordHump,
  type RecordSection,
  type ScanSource,
  type Source,
  type SpecimenRecord,
} from './schema.ts';
import type { AllSettings } from './settings.ts';

/** Angles and percentages are kept to this place at least, however large the piece. */
const OTHER_PLACE = -4;
/** Figures of the greatest number in a column of a series, and the place below which nothing is told from noise. */
const COLUMN_FIGURES = 7;
const COLUMN_FLOOR = -9;
/** Figures of the frame's rotation. */
const ROTATION_FIGURES = 12;

/** What is known of the file beside its mesh. */
export interface FileFacts {
  readonly file: string;
  readonly sha256: string;
  readonly bytes: number;
}

export interface RecordParts {
  readonly source: Source;
  readonly model: Model;
  readonly result: MeasureResult;
  readonly settings: AllSettings;
  readonly catalogue: Catalogue;
  /** What reading the file had to say. */
  readonly warnings: readonly Warning[];
}

/** Puts the parts of one measuring run into a record, numbers rounded as they are to be written. */
export function toRecord({
  source,
  model,
  result,
  settings: { photo, ...settings },
  catalogue,
  warnings,
}: RecordParts): SpecimenRecord {
  const place = coordinatePlace(model.length);
  const otherPlace = Math.min(place, OTHER_PLACE);
  const round = (value: number): number => roundAt(value, place);
  return {
    format: RECORD_FORMAT,
    version: RECORD_VERSION,
    id: source.sha256.slice(0, 16),
    catalogue,
    source,
    frame: toFrame(model.frame, round(model.length), place),
    settings: source.kind === 'photo' && photo !== undefined ? { ...settings, photo } : settings,
    engine: ENGINE,
    measurements: result.measurements.map(toMeasurement),
    outline: {
      outer: toPairs(model.outline.outer, place),
      inner: model.outline.inner.map((ring) => toPairs(ring, place)),
    },
    midline: Array.from(model.midline.x, (x, i): Pair => [round(x), round(model.midline.y[i])]),
    margin: toMargin(model, place),
    profile:
      model.edgeOn === undefined ? toProfile(result.thicknessMap, place) : fromEdgeOn(model.edgeOn, place),
    series: mapValues(result.series, (table) => mapValues(table, toColumn)),
    sections: result.sections.map((section) => toSection(section, place, otherPlace)),
    humps: result.humps.map((hump) => toHump(hump, place, otherPlace)),
    warnings: distinct([...warnings, ...model.warnings, ...result.warnings]),
  };
}

export function scanSource(file: FileFacts, scan: Scan, model: Model): ScanSource {
  const place = coordinatePlace(model.length);
  return {
    file: file.file,
    sha256: file.sha256,
    bytes: file.bytes,
    kind: 'scan',
    format: scan.format,
    unit: scan.unit.unit,
    scale: {
      method: scan.unit.method,
      mmPerUnit: MM_PER_UNIT[scan.unit.unit],
      u: model.scaleUncertainty,
    },
    triangles: scan.mesh.triangles.length / 3,
    vertices: scan.mesh.positions.length / 3,
    closed: scan.closed,
    meanEdge: roundAt(model.quality.meanEdge, place),
    noise: roundAt(model.quality.noise, place),
    repair: {
      ...scan.repair,
      largestHoleLeft: roundAt(scan.repair.largestHoleLeft, place),
    },
    ...(scan.thinned === undefined
      ? {}
      : { thinned: { from: scan.thinned.from, moved: roundAt(scan.thinned.moved, place) } }),
  };
}

/** What a record keeps of a photograph. */
export function photoSource(
  file: FileFacts,
  photo: Photo,
  scale: PhotoScale,
  traced: TracedPhoto,
  views: readonly PhotoView[] = [],
): PhotoSource {
  const { model, piece, candidates, marginHeight } = traced;
  const place = coordinatePlace(model.length);
  const figures = (value: number): number => roundAt(value, lastPlace(value, ROTATION_FIGURES));
  const { camera, map } = scale;
  const drawn = drawnShare(piece);
  return {
    ...file,
    kind: 'photo',
    format: photo.format,
    width: photo.width,
    height: photo.height,
    orientation: photo.orientation,
    scale: {
      method: scale.method,
      pxPerMm: figures(scale.pxPerMm),
      u: roundUncertainty(model.scaleUncertainty),
      components: mapValues(scale.components, roundUncertainty),
      toPlane: Array.from(map.toPlane, figures),
      radial: { ...map.radial, k: figures(map.radial.k) },
      ...(camera === undefined
        ? {}
        : {
            camera: {
              height: roundAt(camera.height, place),
              footX: roundAt(camera.footX, place),
              footY: roundAt(camera.footY, place),
              tilt: roundAt(camera.tilt, OTHER_PLACE),
            },
          }),
      marginHeight: {
        value: roundAt(marginHeight.value, place),
        u: roundUncertainty(marginHeight.u),
        from: marginHeight.from,
      },
    },
    boundary: {
      piece: candidates.indexOf(piece) + 1,
      candidates: candidates.length,
      found: roundAt(piece.found, OTHER_PLACE),
      error: roundUncertainty(piece.error),
      ...(drawn.share > 0
        ? { drawn: { share: roundAt(drawn.share, OTHER_PLACE), error: roundUncertainty(drawn.hand) } }
        : {}),
    },
    views: views.map((view) => ({
      ...view,
      pxPerMm: figures(view.pxPerMm),
      u: roundUncertainty(view.u),
      ...(view.difference === undefined ? {} : { difference: roundUncertainty(view.difference) }),
      ...(view.height === undefined
        ? {}
        : { height: { value: roundAt(view.height.value, place), u: roundUncertainty(view.height.u) } }),
      ...(view.slant === undefined ? {} : { slant: roundAt(view.slant, OTHER_PLACE) }),
    })),
  };
}

function toFrame(frame: Frame, length: number, place: number): RecordFrame {
  const scale = Math.hypot(frame.matrix[0], frame.matrix[1], frame.matrix[2]);
  const turnPlace = lastPlace(scale, ROTATION_FIGURES);
  const axis = (id: keyof Frame['axes']) => ({
    angle: roundAt(frame.axes[id].angle, OTHER_PLACE),
    x: roundAt(frame.axes[id].x, place),
  });
  return {
    matrix: Array.from(frame.matrix, (value, i) => roundAt(value, i >= 12 && i < 15 ? place - 3 : turnPlace)),
    axis: frame.axis,
    faceA: frame.faceA,
    tip: frame.tip,
    axes: { mirror: axis('mirror'), principal: axis('principal'), longest: axis('longest') },
    length,
  };
}

function toMeasurement(measured: Measurement): Measurement {
  const { id, unit, value, u, components, minimum, estimated, byHand, reason } = measured;
  return {
    id,
    value: typeof value === 'number' ? roundMeasured(value, u) : value,
    unit,
    ...(u === undefined ? {} : { u: roundUncertainty(u) }),
    ...(components === undefined ? {} : { components: mapValues({ ...components }, roundUncertainty) }),
    ...(minimum === undefined ? {} : { minimum }),
    ...(estimated === undefined ? {} : { estimated }),
    ...(byHand === undefined ? {} : { byHand }),
    ...(reason === undefined ? {} : { reason }),
  };
}

function toMargin(model: Model, place: number): MarginPoint[] {
  const { margin } = model;
  if (margin === undefined) return [];
  return Array.from(margin.arc, (s, i) => ({
    x: roundAt(margin.points[3 * i], place),
    y: roundAt(margin.points[3 * i + 1], place),
    z: roundAt(margin.points[3 * i + 2], place),
    s: roundAt(s, place),
    side: SIDES[margin.side[i]],
  }));
}

/** Greatest and least z along each row of the map; rows that the piece does not reach are left out. */
function toProfile(map: ThicknessMap | undefined, place: number): Profile {
  const y: number[] = [];
  const faceA: number[] = [];
  const faceB: number[] = [];
  for (let row = 0; map !== undefined && row < map.rows; row++) {
    let greatest = -Infinity;
    let least = Infinity;
    for (let k = row * map.columns; k < (row + 1) * map.columns; k++) {
      // Comparisons with NaN are false, so cells outside the outline pass by.
      if (map.faceA[k] > greatest) greatest = map.faceA[k];
      if (map.faceB[k] < least) least = map.faceB[k];
    }
    if (greatest < least) continue;
    y.push(roundAt(map.y0 + row * map.cell, place));
    faceA.push(roundAt(greatest, place));
    faceB.push(roundAt(least, place));
  }
  return { y, faceA, faceB };
}

function fromEdgeOn({ y, faceA, faceB }: EdgeOn, place: number): Profile {
  const rounded = (values: Float64Array): number[] => Array.from(values, (v) => roundAt(v, place));
  return { y: rounded(y), faceA: rounded(faceA), faceB: rounded(faceB) };
}

function toColumn(column: Series[string]): Column {
  const cells = Array.from(column as ArrayLike<number | string>);
  const greatest = cells.reduce<number>(
    (most, cell) => (typeof cell === 'number' && Math.abs(cell) > most ? Math.abs(cell) : most),
    0,
  );
  const place =
    Number.isFinite(greatest) && greatest > 0
      ? Math.max(lastPlace(greatest, COLUMN_FIGURES), COLUMN_FLOOR)
      : COLUMN_FLOOR;
  return cells.map((cell) => (typeof cell === 'string' ? cell : orNull(cell, place)));
}

function toSection(section: Section, place: number, otherPlace: number): RecordSection {
  const loops = section.loops.map((loop) => toPairs(loop, place));
  const greatest = loops.reduce((best, loop, i) => (area(loop) > area(loops[best]) ? i : best), 0);
  return {
    station: roundAt(section.station, otherPlace),
    at: section.at,
    y: roundAt(section.y, place),
    area: roundAt(section.area, otherPlace),
    width: roundAt(section.width, place),
    thickness: roundAt(section.thickness, place),
    faces: roundAt(section.faces, otherPlace),
    form: section.form,
    points: loops[greatest] ?? [],
    more: loops.filter((_, i) => i !== greatest),
  };
}

function toHump(hump: Hump, place: number, otherPlace: number): RecordHump {
  const length = (value: number): number => roundAt(value, place);
  const other = (value: number): number => roundAt(value, otherPlace);
  const sides = (pair: { left: number; right: number }) => ({
    left: orNull(pair.left, otherPlace),
    right: orNull(pair.right, otherPlace),
  });
  return {
    face: hump.face,
    peak: [length(hump.peak[0]), length(hump.peak[1]), length(hump.peak[2])],
    station: other(hump.station),
    offset: length(hump.offset),
    offsetShare: other(hump.offsetShare),
    prominence: length(hump.prominence),
    height: length(hump.height),
    thickness: length(hump.thickness),
    thicknessRatio: other(hump.thicknessRatio),
    area: other(hump.area),
    volume: other(hump.volume),
    run: {
      left: length(hump.run.left),
      right: length(hump.run.right),
      leftShare: other(hump.run.leftShare),
      rightShare: other(hump.run.rightShare),
    },
    edgeAngle: sides(hump.edgeAngle),
    edgeOffset: sides(hump.edgeOffset),
    footprint: toPairs(hump.footprint, place),
  };
}

function toPairs(points: Points2, place: number): Pair[] {
  return Array.from(
    { length: points.length / 2 },
    (_, i): Pair => [roundAt(points[2 * i], place), roundAt(points[2 * i + 1], place)],
  );
}

function orNull(value: number, place: number): number | null {
  return Number.isFinite(value) ? roundAt(value, place) : null;
}

function area(loop: readonly Pair[]): number {
  const twice = loop.reduce((sum, [x, y], i) => {
    const [nextX, nextY] = loop[(i + 1) % loop.length];
    return sum + x * nextY - nextX * y;
  }, 0);
  return Math.abs(twice) / 2;
}

/** Two steps may find the same fault: it is told once. */
function distinct(warnings: readonly Warning[]): Warning[] {
  const seen = new Map(warnings.map(({ code, text }) => [`${code} ${text}`, { code, text }]));
  return [...seen.values()];
}

function mapValues<From, To>(
  from: Readonly<Record<string, From>>,
  change: (value: From) => To,
): Record<string, To> {
  return Object.fromEntries(Object.entries(from).map(([key, value]) => [key, change(value)]));
}
