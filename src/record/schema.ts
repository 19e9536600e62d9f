import type { Warning } from '../geometry/types.ts';
import type { PhotoFormat, RadialTerm, ScaleMethod } from '../intake/photoTypes.ts';
import type { LengthUnit, RepairReport, ScanFormat, ScanUnit } from '../intake/types.ts';
import type { Measurement } from '../measures/types.ts';
import type { HeightSource } from '../trace/marginHeight.ts';
import type { AxisId, Frame, Side, ViewName } from '../trace/types.ts';
import type { AllSettings } from './settings.ts';

export const RECORD_FORMAT = 'knapgauge-specimen';
export const RECORD_VERSION = 1;

/** What an analyst says of the piece; nothing here is computed. Absent means not said. */
export interface Catalogue {
  readonly number?: string;
  readonly collection?: string;
  /** Kept with the record and left out of exports unless asked for. */
  readonly findSpot?: string;
  readonly material?: string;
  readonly blank?: 'flake' | 'tabular' | 'cobble' | 'unknown';
  /** Share of cortex on each face, percent. */
  readonly cortexA?: number;
  readonly cortexB?: number;
  readonly heat?: 'none' | 'altered' | 'unknown';
  readonly condition?: 'complete' | 'snapped' | 'chipped';
  /** Which part survives of a snapped piece. */
  readonly survives?: 'tip' | 'mid' | 'base';
  /** Who scanned, photographed or oriented the piece: tells repeat measurements of one piece apart. */
  readonly observer?: string;
  /** When, or the how-manieth time, that was: tells repeat measurements by one observer apart. */
  readonly occasion?: string;
  readonly notes?: string;
}

/** Fields of the catalogue that take one of a few words. */
export const CATALOGUE_CHOICES = {
  blank: ['flake', 'tabular', 'cobble', 'unknown'],
  heat: ['none', 'altered', 'unknown'],
  condition: ['complete', 'snapped', 'chipped'],
  survives: ['tip', 'mid', 'base'],
} as const satisfies Partial<Record<keyof Catalogue, readonly string[]>>;

/** Where the numbers come from: the file, its bytes and how its lengths were read. */
export type Source = ScanSource | PhotoSource;

export interface SourceFile {
  /** Name alone, without folders. */
  readonly file: string;
  /** Of the file's bytes, 64 lower-case hexadecimal digits. */
  readonly sha256: string;
  readonly bytes: number;
}

export interface ScanSource extends SourceFile {
  readonly kind: 'scan';
  readonly format: ScanFormat;
  readonly unit: LengthUnit;
  readonly scale: {
    readonly method: ScanUnit['method'];
    readonly mmPerUnit: number;
    /** Relative standard uncertainty of the scale. */
    readonly u: number;
  };
  /** Of the mesh that was measured, after repair. */
  readonly triangles: number;
  readonly vertices: number;
  readonly closed: boolean;
  /** Mean length of a triangle's edge, mm. */
  readonly meanEdge: number;
  /** Standard deviation of the surface's noise, mm. */
  readonly noise: number;
  readonly repair: RepairReport;
  /** Where the scan was thinned before it was measured: triangles before, and about how many mm the surface was moved where that was most. */
  readonly thinned?: { readonly from: number; readonly moved: number };
}

export interface PhotoSource extends SourceFile {
  readonly kind: 'photo';
  readonly format: PhotoFormat;
  /** Of the upright picture, pixels. */
  readonly width: number;
  readonly height: number;
  /** EXIF orientation that was honoured. */
  readonly orientation: number;
  readonly scale: {
    readonly method: ScaleMethod;
    /** Where it was found, or everywhere. */
    readonly pxPerMm: number;
    /** Relative standard uncertainty, with that of the parallax. */
    readonly u: number;
    /** Relative standard uncertainties of the scale by cause. */
    readonly components: Readonly<Record<string, number>>;
    /** 3 × 3, row by row: straightened pixels to mm on the plane of the scale. */
    readonly toPlane: readonly number[];
    readonly radial: RadialTerm;
    /** Of a mat: where the camera stood, mm and degrees. */
    readonly camera?: {
      readonly height: number;
      readonly footX: number;
      readonly footY: number;
      readonly tilt: number;
    };
    /** Height of the margin over the plane for which parallax was taken out, mm, its standard uncertainty, and what it rests on. */
    readonly marginHeight: {
      readonly value: number;
      readonly u: number;
      readonly from?: readonly HeightSource[];
    };
  };
  readonly boundary: {
    /** Which of the things that stand off the backdrop was measured, from 1, and how many there were. */
    readonly piece: number;
    readonly candidates: number;
    /** Share of the outline at which the picture shows an edge. */
    readonly found: number;
    /** Standard uncertainty of the outline's place, pixels. */
    readonly error: number;
    /** Share of the outline that was drawn by hand, and the hand's standard uncertainty there, pixels; absent where none was. */
    readonly drawn?: { readonly share: number; readonly error: number };
  };
  /** Further photographs of the piece. */
  readonly views: readonly PhotoView[];
}

/** A further photograph of a piece: its other face, or edge-on. */
export interface PhotoView extends SourceFile {
  readonly view: ViewName;
  readonly method: ScaleMethod;
  readonly pxPerMm: number;
  /** Of its scale, relative. */
  readonly u: number;
  /** Of Face B: RMS distance of its outline, mirrored, from that of Face A, mm. */
  readonly difference?: number;
  /** Over a mat: how high what is seen as outline stands over it, mm, and how far that is not known. */
  readonly height?: { readonly value: number; readonly u: number };
  /** Edge-on and from the tip over a mat: how aslant the camera looked across the thickness, degrees. */
  readonly slant?: number;
}

export interface RecordFrame {
  /** 16 numbers, column-major: file coordinates (in the file's unit) to the specimen frame (mm). */
  readonly matrix: readonly number[];
  readonly axis: AxisId;
  readonly faceA: Frame['faceA'];
  readonly tip: Frame['tip'];
  /** The three automatic axes seen from the chosen one: turn in degrees, x at mid-length in mm. */
  readonly axes: Frame['axes'];
  /** Extent along y, mm. */
  readonly length: number;
}

export interface Engine {
  readonly name: 'knapgauge';
  readonly version: string;
  /** Revision it was built from, or `unknown`. */
  readonly commit: string;
}

export type Pair = readonly [number, number];

export interface MarginPoint {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  /** Arc length from the tip, mm, clockwise seen on Face A. */
  readonly s: number;
  readonly side: Side;
}

/** Edge-on silhouette: at each y the greatest z of Face A and the least z of Face B. Columns of equal length, mm. */
export interface Profile {
  readonly y: readonly number[];
  readonly faceA: readonly number[];
  readonly faceB: readonly number[];
}

/** Null stands where a number is not to be had. */
export type Column = readonly (number | string | null)[];
export type SeriesTable = Readonly<Record<string, Column>>;

export interface RecordSection {
  readonly station: number;
  readonly at: 'station' | 'width' | 'thickness';
  readonly y: number;
  readonly area: number;
  readonly width: number;
  readonly thickness: number;
  readonly faces: number;
  readonly form: string;
  /** The greatest loop as x z pairs, mm. */
  readonly points: readonly Pair[];
  /** Further loops of the same cut, when there are any. */
  readonly more: readonly (readonly Pair[])[];
}

export interface RecordHump {
  readonly face: 'A' | 'B';
  readonly peak: readonly [number, number, number];
  readonly station: number;
  readonly offset: number;
  readonly offsetShare: number;
  readonly prominence: number;
  readonly height: number;
  readonly thickness: number;
  readonly thicknessRatio: number;
  readonly area: number;
  readonly volume: number;
  readonly run: {
    readonly left: number;
    readonly right: number;
    readonly leftShare: number;
    readonly rightShare: number;
  };
  readonly edgeAngle: { readonly left: number | null; readonly right: number | null };
  readonly edgeOffset: { readonly left: number | null; readonly right: number | null };
  readonly footprint: readonly Pair[];
}

/** One piece, measured: everything that a figure, a table or a later reader needs, without the scan. */
export interface SpecimenRecord {
  readonly format: typeof RECORD_FORMAT;
  readonly version: typeof RECORD_VERSION;
  /** First 16 digits of the source's SHA-256: the same scan is the same specimen. */
  readonly id: string;
  readonly catalogue: Catalogue;
  readonly source: Source;
  readonly frame: RecordFrame;
  readonly settings: AllSettings;
  readonly engine: Engine;
  readonly measurements: readonly Measurement[];
  readonly outline: { readonly outer: readonly Pair[]; readonly inner: readonly (readonly Pair[])[] };
  readonly midline: readonly Pair[];
  readonly margin: readonly MarginPoint[];
  readonly profile: Profile;
  readonly series: Readonly<Record<string, SeriesTable>>;
  readonly sections: readonly RecordSection[];
  readonly humps: readonly RecordHump[];
  readonly warnings: readonly Warning[];
}

/** A record or settings file that can't be used. `message` is one plain sentence; `code` is stable. */
export class RecordError extends Error {
  override readonly name = 'RecordError';
  readonly code: string;
  constructor(code: string, message: string) {
    super(message);
    this.code = code;
  }
}
