import { readFileSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Points3, TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { type LengthUnit, MM_PER_UNIT, type Scan } from '../../src/intake/types.ts';

const FOLDER = fileURLToPath(new URL('../../sample-scans', import.meta.url));

export interface ShippedPiece {
  readonly file: string;
  readonly truth: string;
  readonly unit: LengthUnit;
  readonly title: string;
  readonly catalogueNumber: string;
}

export interface ShippedTruth {
  readonly file: string;
  readonly unit: LengthUnit;
  /** 16 numbers, column-major, file coordinates to frame in mm. */
  readonly matrix: readonly number[];
  readonly values: Readonly<Record<string, number>>;
  readonly sections: readonly { station: number; area: number; width: number; thickness: number }[];
  readonly humps: readonly { face: string; peak: number[]; prominence: number; thickness: number }[];
  readonly margin: readonly (readonly [number, number, number])[];
}

export const drawer = JSON.parse(readFileSync(`${FOLDER}/drawer.json`, 'utf8')) as {
  readonly title: string;
  readonly story: string;
  readonly pieces: readonly ShippedPiece[];
};

export function bytesOf(file: string): number {
  return statSync(`${FOLDER}/${file}`).size;
}

export function truthOf(piece: ShippedPiece): ShippedTruth {
  return JSON.parse(readFileSync(`${FOLDER}/${piece.truth}`, 'utf8'));
}

export function scanOf(piece: ShippedPiece): Scan {
  const bytes = new Uint8Array(readFileSync(`${FOLDER}/${piece.file}`));
  return readScan(bytes, { ...DEFAULT_SCAN_SETTINGS, unit: piece.unit });
}

/** The scan's mesh in the truth's frame, mm. */
export function inFrame(scan: Scan, truth: ShippedTruth): TriangleMesh {
  const m = truth.matrix;
  const p: Points3 = scan.mesh.positions.map((c) => c / MM_PER_UNIT[truth.unit]);
  const out = new Float64Array(p.length);
  for (let i = 0; i < p.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      out[i + k] = m[k] * p[i] + m[4 + k] * p[i + 1] + m[8 + k] * p[i + 2] + m[12 + k];
    }
  }
  return { positions: out, triangles: scan.mesh.triangles };
}
