import type { TriangleMesh, Twins, Warning } from '../geometry/types.ts';

export type LengthUnit = 'um' | 'mm' | 'cm' | 'm' | 'in';

/** Millimetres in one of each unit (exact; the inch by its 1959 definition). */
export const MM_PER_UNIT: Readonly<Record<LengthUnit, number>> = {
  um: 0.001,
  mm: 1,
  cm: 10,
  m: 1000,
  in: 25.4,
};

export type ScanFormat = 'ply' | 'stl' | 'obj' | 'gltf' | 'glb';

/** How the scan's unit was settled: by the format's standard, guessed from size, or given by a person. */
export interface ScanUnit {
  readonly unit: LengthUnit;
  readonly method: 'standard' | 'guessed' | 'given';
}

/** What repair found and did. Counts of triangles, vertices or edges as named. */
export interface RepairReport {
  readonly trianglesRead: number;
  readonly verticesRead: number;
  readonly verticesWelded: number;
  readonly degenerateDropped: number;
  readonly duplicateDropped: number;
  readonly trianglesFlipped: number;
  readonly componentsFound: number;
  /** Triangles outside the main component, which were dropped. */
  readonly componentTrianglesDropped: number;
  readonly nonManifoldEdges: number;
  readonly holesFound: number;
  readonly holesClosed: number;
  readonly holesLeft: number;
  /** Largest hole that stays open: length of its rim, mm. 0 when none. */
  readonly largestHoleLeft: number;
}

export interface ScanSettings {
  /** Unit to read lengths in; undefined lets the format or the size decide. */
  readonly unit?: LengthUnit;
  /** Holes whose rim is at most this share of the diagonal of the bounding box are closed. */
  readonly holeLimit: number;
  /** Scans of more triangles are thinned to about so many before they are measured; undefined measures them whole. */
  readonly thin?: number;
}

/** A scan that is fit to be measured: one component, outward, welded; millimetres, on the file's own axes. */
export interface Scan {
  readonly kind: 'scan';
  /** Millimetres. File coordinates × MM_PER_UNIT[unit.unit]; glTF node transforms applied. */
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  /** Corner from which on triangles are no part of the scan but close its holes; absent where none does. */
  readonly patchedFrom?: number;
  readonly format: ScanFormat;
  readonly unit: ScanUnit;
  readonly repair: RepairReport;
  /** No hole is left: volume by the divergence theorem holds. */
  readonly closed: boolean;
  /** Present where the scan was thinned: triangles before, and about how many mm the surface was moved where that was most. */
  readonly thinned?: { readonly from: number; readonly moved: number };
  readonly warnings: readonly Warning[];
}

/**
 * A file that can't be read. `message` is one plain sentence that says what is wrong and where; `code` is stable.
 */
export class IntakeError extends Error {
  override readonly name = 'IntakeError';
  readonly code: string;
  constructor(code: string, message: string) {
    super(message);
    this.code = code;
  }
}
