import type { LengthUnit, ScanFormat } from '../../src/intake/types.ts';
import type { PlannedHump } from './humpTruth.ts';
import type { Stone } from './stone.ts';

/** One piece of the drawer: how it is made, scanned and described. */
export interface Piece {
  /** File name without ending. */
  readonly name: string;
  readonly format: Extract<ScanFormat, 'ply' | 'stl' | 'glb'>;
  readonly unit: LengthUnit;
  /** Length of the mesh's edges, mm. */
  readonly spacing: number;
  /** Seed of the scanner's pose. */
  readonly pose: number;
  readonly words: PieceWords;
  make(): Made;
}

export interface Made {
  readonly stone: Stone;
  readonly humps?: readonly PlannedHump[];
}

export interface PieceWords {
  readonly catalogueNumber: string;
  readonly title: string;
  readonly rawMaterial: string;
  readonly blank: string;
  readonly note: string;
  /** What to look at in the measurements. */
  readonly look: string;
}
