import {
  dropUnusedVertices,
  keepTriangles,
  keepTrianglesAndTwins,
  trimmed,
} from '../geometry/meshCompact.ts';
import { turnFlatTriangles } from '../geometry/meshFlat.ts';
import { findHoles, type Hole } from '../geometry/meshHoles.ts';
import { applyFlips, type Orientation, orientPieces, turnOutward } from '../geometry/meshOrient.ts';
import { closeHoles } from '../geometry/meshPatch.ts';
import { stitchCracks } from '../geometry/meshStitch.ts';
import { type Pairing, pairHalfEdges } from '../geometry/meshTwins.ts';
import { enclosedVolume } from '../geometry/meshVolume.ts';
import { weldVertices } from '../geometry/meshWeld.ts';
import { rimOnOneFace } from '../geometry/rimFolds.ts';
import type { Hooks, TriangleMesh, Twins } from '../geometry/types.ts';
import type { RawMesh } from './rawMesh.ts';
import { IntakeError, type RepairReport, type ScanSettings } from './types.ts';
import { count } from './wording.ts';

/** A surface that is welded, of one piece and outward, with what was done to make it so. Lengths in the file's unit. */
export interface Repaired {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  /** Corner from which on triangles close holes. */
  readonly patchedFrom: number;
  readonly report: RepairReport;
  /** What the report's counts leave out but a person should know. */
  readonly findings: Findings;
}

export interface Findings {
  /** Share of the whole surface that lay in other pieces and was dropped. */
  readonly areaShareDropped: number;
  /** Edges cut because the surface is one-sided there. */
  readonly numCut: number;
  /** Rim of the largest hole that was closed. */
  readonly largestHoleClosed: number;
}

/** Two sides of a crack lie closer than this share of the largest coordinate: what single precision may tear apart. */
const CRACK = 1e-6;

/** A main piece below this share of the surface, among at least so many, is no main piece. */
const LEAST_SHARE = 0.02;
const MANY_PIECES = 100;

/**
 * Raw triangles → one closed or open surface, outward, with twins. `raw` is used up: its arrays are overwritten, which
 * keeps the peak of memory down.
 */
export function repairMesh(raw: RawMesh, settings: ScanSettings, hooks: Hooks = {}): Repaired {
  const step = (fraction: number, name: string): void => {
    hooks.signal?.throwIfAborted();
    hooks.progress?.(fraction, name);
  };
  step(0, 'welding vertices');
  const welded = weldVertices(raw.positions, raw.triangles);
  const { positions } = welded;
  step(0.2, 'pairing edges');
  const joined = joinTriangles(positions, raw.triangles);
  step(0.6, 'turning triangles outward');
  const oriented = orientPieces(positions, joined.triangles, joined.pairing);
  const main = keepMainPiece(positions, joined.triangles, joined.pairing.pairs, oriented);
  step(0.8, 'closing holes');
  const flatTurned = turnFlatTriangles(main.mesh, main.twins);
  const holes = findHoles(main.mesh, main.twins);
  const limit = settings.holeLimit * diagonal(main.mesh.positions);
  const small = holes.filter((hole) => isSmall(main, hole, limit));
  const kept = new Set(small);
  const large = holes.filter((hole) => !kept.has(hole));
  const { mesh, twins } = small.length > 0 ? closeHoles(main, small) : main;
  // The sign of an open piece's volume is a guess, which its patches may prove wrong.
  const turned = small.length > 0 && small.length === holes.length && turnOutward(mesh, twins);
  if (small.length === holes.length) verifyVolume(mesh);
  const report: RepairReport = {
    trianglesRead: raw.triangles.length / 3 + raw.numEmptyFaces,
    verticesRead: raw.positions.length / 3,
    verticesWelded: welded.numWelded + joined.numStitched,
    degenerateDropped: raw.numEmptyFaces + joined.numDegenerate + flatTurned,
    duplicateDropped: joined.numDuplicate,
    trianglesFlipped: turned ? main.mesh.triangles.length / 3 - main.numFlipped : main.numFlipped,
    componentsFound: oriented.areas.length,
    componentTrianglesDropped: main.numDropped,
    nonManifoldEdges: joined.pairing.numNonManifold,
    holesFound: holes.length,
    holesClosed: small.length,
    holesLeft: holes.length - small.length,
    largestHoleLeft: longest(large),
  };
  const findings = {
    areaShareDropped: main.areaShareDropped,
    numCut: oriented.numCut,
    largestHoleClosed: longest(small),
  };
  return { mesh, twins, patchedFrom: main.mesh.triangles.length, report, findings };
}

/** Refuses a closed surface that encloses nothing: it has no outside. */
function verifyVolume(mesh: TriangleMesh): void {
  if (enclosedVolume(mesh) > 0) return;
  throw new IntakeError(
    'no-volume',
    'The surface of the scan encloses no volume: it is folded flat, or a vertex lies so far out that rounding hides the rest.',
  );
}

/**
 * A rim of two half-edges is a slit without area. A hole across the edge between two faces has a rim on each of them, which
 * are closed one by one.
 */
function isSmall({ mesh, twins }: MainPiece, { rim, length }: Hole, limit: number): boolean {
  if (rim.length === 2 || length <= limit) return true;
  return length <= 2 * limit && rimOnOneFace(mesh, twins, rim) <= limit;
}

interface Joined {
  /** Without degenerate and duplicate triangles; a view on the input's memory. */
  readonly triangles: Uint32Array;
  readonly pairing: Pairing;
  readonly numDegenerate: number;
  readonly numDuplicate: number;
  readonly numStitched: number;
}

/** Drops triangles that are none or that repeat another, and pairs the edges of the rest, across cracks as well. */
function joinTriangles(positions: Float64Array, given: Uint32Array): Joined {
  let triangles = dropDegenerate(given);
  let pairing = pairHalfEdges(positions, triangles);
  let numStitched = 0;
  if (pairing.numOpen > 0) {
    numStitched = stitchCracks(
      positions,
      triangles,
      pairing.pairs,
      CRACK * farthestOut(positions, triangles),
    );
    if (numStitched > 0) {
      triangles = dropDegenerate(triangles);
      pairing = pairHalfEdges(positions, triangles);
    }
  }
  const numDegenerate = (given.length - triangles.length) / 3;
  const before = triangles.length / 3;
  const { duplicates } = pairing;
  if (duplicates !== undefined) {
    triangles = keepTriangles(triangles, (t) => duplicates[t] === 0);
    pairing = pairHalfEdges(positions, triangles);
  }
  return { triangles, pairing, numDegenerate, numDuplicate: before - triangles.length / 3, numStitched };
}

function dropDegenerate(triangles: Uint32Array): Uint32Array {
  if (!anyDegenerate(triangles)) return triangles;
  return keepTriangles(triangles, (t) => {
    const a = triangles[3 * t];
    const b = triangles[3 * t + 1];
    const c = triangles[3 * t + 2];
    return a !== b && b !== c && c !== a;
  });
}

/** Whether a triangle has a corner twice: a scan that has none, as most, is looked through without being copied. */
function anyDegenerate(triangles: Uint32Array): boolean {
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t];
    const b = triangles[t + 1];
    const c = triangles[t + 2];
    if (a === b || b === c || c === a) return true;
  }
  return false;
}

interface MainPiece {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  readonly numFlipped: number;
  readonly numDropped: number;
  readonly areaShareDropped: number;
}

/** Keeps the piece with the largest surface, turned outward, and nothing that it does not use. */
function keepMainPiece(
  positions: Float64Array,
  triangles: Uint32Array,
  pairs: Twins,
  { areas, pieceOf, flips }: Orientation,
): MainPiece {
  const total = areas.reduce((sum, area) => sum + area, 0);
  if (!(total > 0)) {
    throw new IntakeError('no-area', 'The scan has no surface: every triangle in it has zero area.');
  }
  const main = areas.indexOf(areas.reduce((most, area) => Math.max(most, area)));
  verifyJoined(areas[main] / total, areas.length);
  let numFlipped = 0;
  for (let t = 0; t < pieceOf.length; t++) if (pieceOf[t] === main) numFlipped += flips[t];
  applyFlips(triangles, pairs, flips);
  const kept =
    areas.length === 1
      ? { triangles, twins: pairs }
      : keepTrianglesAndTwins(triangles, pairs, (t) => pieceOf[t] === main);
  return {
    mesh: {
      positions: trimmed(dropUnusedVertices(positions, kept.triangles)),
      triangles: trimmed(kept.triangles),
    },
    twins: trimmed(kept.twins),
    numFlipped,
    numDropped: (triangles.length - kept.triangles.length) / 3,
    areaShareDropped: 1 - areas[main] / total,
  };
}

/** Refuses a heap of loose triangles, of which no piece could stand for the whole. */
function verifyJoined(largestShare: number, numPieces: number): void {
  if (largestShare >= LEAST_SHARE || numPieces < MANY_PIECES) return;
  throw new IntakeError(
    'loose-triangles',
    `The triangles do not join into a surface: they make ${count(numPieces, 'piece')}, and the largest is ${(100 * largestShare).toPrecision(2)} % of the whole.`,
  );
}

function longest(holes: readonly Hole[]): number {
  return holes.reduce((most, hole) => Math.max(most, hole.length), 0);
}

/** Length of the diagonal of the box around all vertices. */
function diagonal(positions: Float64Array): number {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    for (let axis = 0; axis < 3; axis++) {
      low[axis] = Math.min(low[axis], positions[i + axis]);
      high[axis] = Math.max(high[axis], positions[i + axis]);
    }
  }
  return Math.hypot(high[0] - low[0], high[1] - low[1], high[2] - low[2]);
}

/** Largest coordinate that a triangle uses: single precision errs in proportion to it. */
function farthestOut(positions: Float64Array, triangles: Uint32Array): number {
  let most = 0;
  for (let h = 0; h < triangles.length; h++) {
    const at = 3 * triangles[h];
    most = Math.max(most, Math.abs(positions[at]), Math.abs(positions[at + 1]), Math.abs(positions[at + 2]));
  }
  return most;
}
