import type { Scan } from '../../src/intake/types.ts';
import type { Measurement, MeasureResult, Section, ThicknessMap } from '../../src/measures/types.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { type RecordParts, scanSource, toRecord } from '../../src/record/toRecord.ts';
import type { Model } from '../../src/trace/types.ts';

/**
 * A leaf 120 mm long, written down by formula rather than traced: half-width w(y), faces as elliptic arcs over each
 * chord, the margin winding as a sine, one hump on Face A. It serves tests of what comes after measuring.
 */
export const LENGTH = 120;
const WIDEST = 21;
const THICKNESS = 11;
const HUMP = { x: 4, y: 66, height: 3.2, spread: 7 };

export function halfWidth(y: number): number {
  const t = Math.min(1, Math.max(0, y / LENGTH));
  return WIDEST * 1.54 * Math.sqrt(t) * (1 - t) ** 0.75 * (1 + 0.25 * (1 - t));
}

const bow = (y: number): number => 1.6 * Math.sin((Math.PI * y) / LENGTH);
const leftX = (y: number): number => bow(y) - halfWidth(y);
const rightX = (y: number): number => bow(y) + 0.94 * halfWidth(y);
const wander = (y: number): number => 0.9 * Math.sin((2 * Math.PI * y) / 31);

function faceA(x: number, y: number): number {
  const hump = HUMP.height * Math.exp(-((x - HUMP.x) ** 2 + (y - HUMP.y) ** 2) / (2 * HUMP.spread ** 2));
  return wander(y) + shape(x, y) * (0.55 * THICKNESS + hump);
}

function faceB(x: number, y: number): number {
  return wander(y) - shape(x, y) * 0.45 * THICKNESS;
}

/** 0 at the margins, 1 on the midline of the widest part. */
function shape(x: number, y: number): number {
  const half = (rightX(y) - leftX(y)) / 2;
  if (half <= 0) return 0;
  const across = (x - (rightX(y) + leftX(y)) / 2) / half;
  return Math.sqrt(Math.max(0, 1 - across * across)) * Math.min(1, half / (0.5 * WIDEST)) ** 0.7;
}

function stationsOf(count: number): number[] {
  return Array.from({ length: count }, (_, i) => (LENGTH * i) / (count - 1));
}

function makeModel(): Model {
  const ys = stationsOf(201);
  const right = ys.slice(1, -1).map((y) => [rightX(y), y, wander(y)]);
  const left = ys.slice(1, -1).map((y) => [leftX(y), y, wander(y)]);
  const tip = [bow(LENGTH), LENGTH, wander(LENGTH)];
  const base = [bow(0), 0, wander(0)];
  // From the tip down the right side, round the base and up the left: clockwise on Face A.
  const margin = [tip, ...right.toReversed(), base, ...left];
  let s = 0;
  const arc = margin.map((point, i) => {
    if (i > 0) s += Math.hypot(...point.map((value, axis) => value - margin[i - 1][axis]));
    return s;
  });
  const identity = Float64Array.from({ length: 16 }, (_, i) => (i % 5 === 0 ? 1 : 0));
  return {
    frame: {
      matrix: identity,
      rigid: identity,
      axis: 'mirror',
      faceA: 'more-volume',
      tip: 'less-area',
      axes: {
        mirror: { angle: 0, x: 0 },
        principal: { angle: -0.42, x: 0.31 },
        longest: { angle: 0.8, x: -0.2 },
      },
    },
    outline: {
      outer: Float64Array.from(margin.toReversed().flatMap((point) => point.slice(0, 2))),
      inner: [],
    },
    midline: {
      station: Float64Array.from(ys, (y) => (100 * y) / LENGTH),
      y: Float64Array.from(ys),
      leftX: Float64Array.from(ys, leftX),
      rightX: Float64Array.from(ys, rightX),
      x: Float64Array.from(ys, (y) => (leftX(y) + rightX(y)) / 2),
      several: new Uint8Array(ys.length),
    },
    length: LENGTH,
    margin: {
      points: Float64Array.from(margin.flat()),
      arc: Float64Array.from(arc),
      length: s,
      side: Uint8Array.from(margin, ([x, y]) => (y > 114 ? 2 : y < 6 ? 3 : x < bow(y) ? 0 : 1)),
    },
    quality: { meanEdge: 0.412345678, noise: 0.0123456789 },
    scaleUncertainty: 0,
    warnings: [
      { code: 'ends-alike', text: 'Both ends hold nearly the same area: check which one is the tip.' },
    ],
  };
}

function makeMap(): ThicknessMap {
  const cell = 0.5;
  const columns = 96;
  const rows = 242;
  const x0 = -24;
  const y0 = -0.25;
  const top = new Float32Array(rows * columns).fill(NaN);
  const bottom = new Float32Array(rows * columns).fill(NaN);
  for (let k = 0; k < top.length; k++) {
    const x = x0 + (k % columns) * cell;
    const y = y0 + Math.floor(k / columns) * cell;
    if (y <= 0 || y >= LENGTH || x <= leftX(y) || x >= rightX(y)) continue;
    top[k] = faceA(x, y);
    bottom[k] = faceB(x, y);
  }
  return { x0, y0, cell, columns, rows, faceA: top, faceB: bottom };
}

function makeSection(station: number): Section {
  const y = (station / 100) * LENGTH;
  const xs = Array.from({ length: 61 }, (_, i) => leftX(y) + ((rightX(y) - leftX(y)) * i) / 60);
  const lower = xs.map((x) => [x, faceB(x, y)]);
  const upper = xs.slice(1, -1).map((x) => [x, faceA(x, y)]);
  return {
    station,
    at: 'station',
    y,
    loops: [Float64Array.from([...lower, ...upper.toReversed()].flat())],
    area: 212.345678,
    width: rightX(y) - leftX(y),
    thickness: Math.max(...upper.map(([x, z]) => z - faceB(x, y))),
    faces: 55.1234567,
    form: 'biconvex',
  };
}

export const MEASUREMENTS: readonly Measurement[] = [
  {
    id: 'length',
    value: 120.0123456789,
    unit: 'mm',
    u: 0.0234567,
    components: { resolution: 0.02, noise: 0.01225 },
  },
  { id: 'width', value: 41.87654321, unit: 'mm', u: 0.0312 },
  { id: 'thickness', value: 13.4234567, unit: 'mm', u: 0.0271 },
  { id: 'width.thickness', value: 3.1196, unit: '1', u: 0.0067 },
  { id: 'volume', value: 31234.5678, unit: 'mm3', u: 12.3 },
  { id: 'area', value: 3456.789, unit: 'mm2', u: 0.9 },
  { id: 'edge.angle.mean', value: 58.2345, unit: 'deg', u: 0.87 },
  { id: 'symmetry.overlap', value: 94.3214, unit: 'percent', u: 0.31 },
  { id: 'humps.count', value: 1, unit: 'count', u: 0 },
  { id: 'section.50.form', value: 'biconvex', unit: 'text' },
  { id: 'mass.estimated', value: null, unit: 'g', reason: 'no density was given' },
];

function makeResult(): MeasureResult {
  const round = Array.from({ length: 250 }, (_, i) => i);
  const angle = round.map((i) => (i % 40 === 7 ? NaN : 55 + 18 * Math.sin(i / 9) + 6 * Math.cos(i / 3.1)));
  const ys = stationsOf(201);
  const circle = Array.from({ length: 40 }, (_, i) => [
    HUMP.x + 8 * Math.cos((2 * Math.PI * i) / 40),
    HUMP.y + 9 * Math.sin((2 * Math.PI * i) / 40),
  ]);
  return {
    measurements: MEASUREMENTS,
    series: {
      halfWidths: {
        station: Float64Array.from(ys, (y) => (100 * y) / LENGTH),
        left: Float64Array.from(ys, (y) => -leftX(y)),
        right: Float64Array.from(ys, rightX),
        difference: Float64Array.from(ys, (y) => rightX(y) + leftX(y)),
      },
      edgeAngle: {
        arc: Float64Array.from(round),
        side: round.map((i) => (i < 6 || i > 244 ? 'tip' : i < 119 ? 'right' : i < 131 ? 'base' : 'left')),
        angle: Float64Array.from(angle),
        valid: Uint8Array.from(angle, (value) => (Number.isNaN(value) ? 0 : 1)),
        reason: angle.map((value) => (Number.isNaN(value) ? 'too little surface' : '')),
      },
    },
    sections: [10, 20, 30, 40, 50, 60, 70, 80, 90].map(makeSection),
    humps: [
      {
        face: 'A',
        peak: [HUMP.x, HUMP.y, faceA(HUMP.x, HUMP.y)],
        station: 55,
        offset: 2.4,
        offsetShare: 12,
        prominence: 2.9,
        height: 3.1,
        thickness: 13.4,
        thicknessRatio: 1.42,
        footprint: Float64Array.from(circle.flat()),
        area: 226.2,
        volume: 402.3,
        run: { left: 33.1, right: 26.4, leftShare: 80.2, rightShare: 61.3 },
        edgeAngle: { left: 61.2, right: NaN },
        edgeOffset: { left: 48, right: 52 },
      },
    ],
    thicknessMap: makeMap(),
    warnings: [
      { code: 'ends-alike', text: 'Both ends hold nearly the same area: check which one is the tip.' },
    ],
  };
}

function makeScan(): Scan {
  return {
    kind: 'scan',
    mesh: { positions: new Float64Array(9), triangles: new Uint32Array(3) },
    twins: new Uint32Array(3),
    format: 'ply',
    unit: { unit: 'mm', method: 'guessed' },
    repair: {
      trianglesRead: 100_000,
      verticesRead: 50_002,
      verticesWelded: 0,
      degenerateDropped: 0,
      duplicateDropped: 0,
      trianglesFlipped: 0,
      componentsFound: 1,
      componentTrianglesDropped: 0,
      nonManifoldEdges: 0,
      holesFound: 0,
      holesClosed: 0,
      holesLeft: 0,
      largestHoleLeft: 0,
    },
    closed: true,
    warnings: [
      { code: 'units-guessed', text: 'The file names no unit; millimetres were guessed from its size.' },
    ],
  };
}

export function makeParts(file = 'leaf.ply'): RecordParts {
  const scan = makeScan();
  const model = makeModel();
  return {
    source: scanSource({ file, sha256: 'ab'.repeat(32), bytes: 1_234_567 }, scan, model),
    model,
    result: makeResult(),
    settings: DEFAULT_SETTINGS,
    catalogue: {},
    warnings: scan.warnings,
  };
}

export function makeRecord(file?: string): SpecimenRecord {
  return toRecord(makeParts(file));
}
