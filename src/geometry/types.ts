/** Shapes of data that every room shares. Plain typed arrays, no behaviour, no word of the trade. */

/**
 * A triangle mesh.
 * Lengths are in whatever unit the caller says; inside the program always millimetres.
 */
export interface TriangleMesh {
  /** 3 × numVertices, x y z interleaved. */
  readonly positions: Float64Array;
  /** 3 × numTriangles vertex indices, counter-clockwise seen from outside. */
  readonly triangles: Uint32Array;
}

/** Marks a half-edge without a twin (it lies on a hole's rim). */
export const NO_TWIN = 0xffffffff;

/**
 * Half-edge `h` of a mesh is corner `h % 3` of triangle `floor(h / 3)`: it runs from `triangles[h]` to the next
 * corner of the same triangle. `twins[h]` is the half-edge that runs the other way along the same edge, or NO_TWIN.
 */
export type Twins = Uint32Array;

/** Interleaved x y pairs, 2 × n. A ring is closed implicitly: its last point is not its first again. */
export type Points2 = Float64Array;

/** Interleaved x y z triples, 3 × n. */
export type Points3 = Float64Array;

/** 16 numbers, column-major, as WebGL and glTF write them. */
export type Matrix4 = Float64Array;

/** Told now and then how far a long step has come; `fraction` runs 0…1 within the step. */
export interface Hooks {
  readonly progress?: (fraction: number, step: string) => void;
  readonly signal?: AbortSignal;
}

/** Something a person should know about a result. Codes are kebab-case and stable; text is one sentence. */
export interface Warning {
  readonly code: string;
  readonly text: string;
}
