import type { PhotoScale } from '../src/intake/photoTypes.ts';
import type { MeasureRow } from '../src/measures/types.ts';
import type { MeshFacts, MeshKind } from '../src/record/meshFile.ts';
import type { Pair, SpecimenRecord } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';
import type { PhotoPiece } from '../src/trace/photoPieces.ts';
import type { ViewName } from '../src/trace/types.ts';
import type { JobFailure } from './failure.ts';
import type { Packed } from './packing.ts';

/** What the page and its worker say to each other. Everything is plain data; typed arrays are handed over. */

/** One measuring run. `run` grows by one each time; answers to older runs are of no use. */
export interface BenchJob {
  readonly run: number;
  /** Names the file: two jobs with the same source are about the same bytes, of which the first reading serves. */
  readonly source: string;
  /** Run of the traced piece or the photograph that the page shows now; the same one is not sent again. */
  readonly shown?: number;
  /** Read inside the worker: the page never holds its bytes. */
  readonly file: Blob;
  readonly fileName: string;
  /** Further photographs of the piece. */
  readonly views?: readonly ViewPhoto[];
  readonly settings: AllSettings;
  /** Measured as it is, even where memory may not suffice. */
  readonly whole?: boolean;
  /** `bench` wants everything that is drawn; `card` a picture and the numbers, and what is drawn packed. */
  readonly want: 'bench' | 'card';
}

/** A further photograph of a piece. `file` names it among those of the piece. */
export interface ViewPhoto {
  readonly view: ViewName;
  readonly file: string;
  readonly blob: Blob;
  readonly fileName: string;
  /** The page shows its picture already. */
  readonly shown?: boolean;
}

/** The surface as it is drawn, in the specimen frame, mm. Thinned when the scan is large. */
export interface DisplayMesh {
  /** 3 × vertices. */
  readonly positions: Float32Array;
  /** 3 × vertices, unit, from the whole scan. */
  readonly normals: Float32Array;
  readonly triangles: Uint32Array;
  /** Least and greatest x, y and z. */
  readonly low: readonly number[];
  readonly high: readonly number[];
  /** Triangles of the scan that was measured. */
  readonly fullTriangles: number;
}

/** A picture of a face lit from the upper left, tip up, and where it lies. mm. */
export interface Relief {
  readonly image: Blob;
  /** Outer rim of the picture in the plan's own x (Face B: x runs to the left) and y. */
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** Rings in the specimen frame, where they are not those of the record: of Face B in a photograph of its own. */
  readonly outline?: readonly (readonly Pair[])[];
}

/** What can be shown as soon as the piece is traced, before it is measured. */
export interface TracedPiece {
  readonly run: number;
  readonly mesh: DisplayMesh;
  /** 3 × n, closed implicitly. */
  readonly margin: Float32Array;
  /** Extent along y, mm. */
  readonly length: number;
}

/** Lines laid on the faces and values at the display mesh's vertices, for drawing. */
export interface Drawn {
  /** Midline as it lies on each face, 3 × n. */
  readonly midlineA: Float32Array;
  readonly midlineB: Float32Array;
  /** Footprints as they lie on their faces, in the order of the record's humps. */
  readonly footprints: readonly Float32Array[];
  /** Thickness of the piece under each vertex of the display mesh, mm; NaN where not known. */
  readonly thickness: Float32Array;
  /** How far the face stands out over the reference of the humps under each vertex, mm; NaN where not known. */
  readonly excess: Float32Array;
  /** Edge angle of the nearest place on the margin for vertices near it, degrees; NaN elsewhere. */
  readonly edgeAngle: Float32Array;
  /** 1 inside a hump's footprint on its own face, falling to 0 within a few millimetres of it. */
  readonly glow: Float32Array;
  /** Sections at stations 1, 2 … 99: the loops of each as x z pairs, mm. */
  readonly cuts: readonly (readonly Float32Array[])[];
}

/** A photograph as it is drawn. */
export interface PhotoPicture {
  readonly image: Blob;
  /** Of the whole photograph, upright, pixels. */
  readonly width: number;
  readonly height: number;
  /** Side of one pixel of `image` in pixels of the photograph. */
  readonly pixel: number;
}

/** Something in a photograph that may be measured. */
export interface Candidate {
  readonly kind: PhotoPiece['kind'];
  /** x y pairs, pixels of the photograph. */
  readonly ring: Float32Array;
}

/** What is told of a photograph as soon as it is known, also when it can't be measured afterwards. */
export interface PhotoNews {
  readonly run: number;
  /** Of a further photograph its name among those of the piece; absent for Face A. */
  readonly file?: string;
  readonly picture?: PhotoPicture;
  readonly scale?: PhotoScale;
  readonly candidates?: readonly Candidate[];
  /** What was traced, before it is measured. */
  readonly lines?: PhotoLines;
}

/** What was traced in a photograph, x y pairs in its pixels. */
export interface PhotoLines {
  readonly outline: readonly Float32Array[];
  /** Stretches of the outline that were drawn by hand. */
  readonly drawn: readonly Float32Array[];
  /** Stretches about which the picture leaves the outline in doubt by more than a few pixels. */
  readonly doubted: readonly Float32Array[];
  readonly midline: Float32Array;
  /** From below the base to above the tip. */
  readonly axis: Float32Array;
}

/** What was traced in a further photograph, x y pairs in its pixels. */
export interface ViewLines {
  /** Which of the candidates it is, from 1. */
  readonly piece: number;
  readonly outline: Float32Array;
  /** From below the base to above the tip, each past the end by a share `past` of the length. */
  readonly axis: Float32Array;
  readonly past: number;
  /** The winding edge through what was clicked. */
  readonly wire?: Float32Array;
}

export interface MeasuredPiece {
  readonly record: SpecimenRecord;
  /** What was asked, where the record keeps less of it: it does not name the further photographs as the page does. */
  readonly asked?: AllSettings;
  readonly drawn?: Drawn;
  /** Of a photograph the piece cut from it. */
  readonly reliefA: Relief;
  /** A photograph shows one side only. */
  readonly reliefB?: Relief;
  readonly photo?: PhotoLines;
  /** What was traced in further photographs, by their names among those of the piece. */
  readonly views?: Readonly<Record<string, ViewLines>>;
  /** Of a card: what the bench would draw, a `Drawing`. */
  readonly packed?: Packed;
}

/** Everything that the bench draws of a piece besides what comes with its numbers. */
export type Drawing =
  | { readonly traced: TracedPiece; readonly drawn: Drawn }
  | {
      readonly photograph: Photograph;
      /** Further photographs, by their names among those of the piece. */
      readonly views: Readonly<Record<string, Photograph>>;
    };

/** A photograph on the bench, and what is known of it by now. */
export interface Photograph {
  readonly picture: PhotoPicture;
  /** Null where none was found. */
  readonly scale: PhotoScale | null;
  readonly candidates: readonly Candidate[];
  /** What was traced in the run that goes on; undefined until it is, and afterwards of no use: the numbers bring their own. */
  readonly lines?: PhotoLines | undefined;
}

export type Outcome =
  | { readonly ok: true; readonly run: number; readonly piece: MeasuredPiece }
  | { readonly ok: false; readonly run: number; readonly cancelled: boolean; readonly failure: JobFailure };

/** Told while a run goes on. */
export interface BenchEvents {
  progress(run: number, fraction: number, step: string): void;
  traced(piece: TracedPiece): void;
  /** Face A's picture, before the numbers; of a photograph the whole of it. */
  pictured(run: number, relief: Relief): void;
  photographed(news: PhotoNews): void;
}

/** The surface of a piece, oriented, as a file. */
export interface MeshJob extends Pick<BenchJob, 'source' | 'file' | 'fileName' | 'settings'> {
  readonly kind: MeshKind;
  readonly facts: MeshFacts;
}

export interface FamilyRows {
  readonly id: string;
  readonly title: string;
  readonly rows: readonly MeasureRow[];
}

/** What a worker that measures offers. */
export interface MeasureApi {
  /**
   * Takes the lock of this name for as long as the worker lives, and answers when it has it. Whoever waits for the lock hears
   * of the worker's death, however it died and however busy it was.
   */
  live(lock: string): Promise<void>;
  measure(job: BenchJob, events: BenchEvents): Promise<Outcome>;
  /** Reads and looks at what the next measuring of the job will need, and tells nothing, not even why it could not. */
  prepare(job: BenchJob): Promise<void>;
  /** Heeded between stages; within a stage the worker hears nothing. Answered once the run has ended. */
  cancel(run: number): Promise<void>;
}

/** A line along edges that is tried out. */
export interface WireAsked {
  readonly source: string;
  /** The photograph's name among those of the piece. */
  readonly file: string;
  /** x y pairs, pixels. */
  readonly clicks: readonly number[];
  readonly piece: number;
}

/** What the worker for photographs offers. */
export interface PhotoApi extends MeasureApi {
  /**
   * How slender the likeliest piece in a photograph is: its second moments' width over length, whatever the scale.
   * Null where the picture shows none, or can't be read.
   */
  slenderness(picture: Pick<ViewPhoto, 'blob' | 'fileName'>): Promise<number | null>;
  /** The line along edges between clicks in a further photograph that was measured; null where none is at hand. */
  wire(asked: WireAsked): Promise<Float32Array | null>;
}

/** What the worker for scans offers. */
export interface EngineApi extends MeasureApi {
  families(): readonly FamilyRows[];
  /** Throws what measuring the piece would have thrown. */
  mesh(job: MeshJob): Promise<Blob>;
}
