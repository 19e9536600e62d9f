import type { Matrix4, Points2, Points3, TriangleMesh, Twins, Warning } from '../geometry/types.ts';
import type { ScaleSettings } from '../intake/photoTypes.ts';

export type AxisId = 'mirror' | 'principal' | 'longest' | 'tip-base';

export interface TraceSettings {
  readonly axis: AxisId;
  /** Swap the faces after the rule has chosen Face A. */
  readonly flipFace: boolean;
  /** Swap tip and base after the rule has chosen the tip. */
  readonly flipTip: boolean;
  /** For axis `tip-base`: placed points in file coordinates × unit (mm), base first. */
  readonly base?: readonly [number, number, number];
  readonly tip?: readonly [number, number, number];
  /** Turn (degrees, counter-clockwise seen on Face A) and shift (mm, to the right) added to the axis by hand. */
  readonly nudgeAngle: number;
  readonly nudgeShift: number;
  /** Number of stations along the length axis for midline and series. */
  readonly stations: number;
}

/** What a person did to the traced outline. Pixels of the upright photograph: x right, y down, (0, 0) the centre of the first. */
export interface Correction {
  /** A round brush painted into the piece, or out of it; or the outline was taken hold of and moved. */
  readonly kind: 'in' | 'out' | 'move';
  /** Where the middle of the brush went; of `move` the place that was held and where it was put. */
  readonly points: readonly (readonly [x: number, y: number])[];
  /** Of the brush; of `move` how much of the outline to either side came along. */
  readonly radius: number;
  /** Standard uncertainty of the hand. An edge of light within twice as far of the drawn edge is taken in its place. */
  readonly hand: number;
  /** The edge stands where it was drawn, whatever the picture shows. */
  readonly exact?: boolean;
}

/** Further photographs of a piece that can be measured: its other face, edge-on from either side, tip up, and from the tip, Face A up. */
export const VIEWS = ['B', 'left', 'right', 'tip'] as const;
export type ViewName = (typeof VIEWS)[number];

/**
 * What a person tells of a further photograph. With a `method` it has a scale of its own; without one its scale is had
 * as that of Face A.
 */
export interface ViewSettings extends Partial<ScaleSettings> {
  readonly view: ViewName;
  /** Names the photograph among those that are kept with the piece. Records leave it out: they name files by content. */
  readonly file?: string;
  /** Which of the things that stand off its backdrop is the piece, likeliest first, from 1. */
  readonly piece?: number;
  /**
   * Edge-on: places along the winding edge of the margin that faces the camera, from one end to the other, x y pairs,
   * pixels. The edge is traced between them.
   */
  readonly edge?: readonly number[];
  /** Corrections of its outline, in the order in which they were made. */
  readonly corrections?: readonly Correction[];
}

/** What a person tells of a photograph: how its scale is had, which piece is meant, and where its outline goes. */
export interface PhotoSettings extends ScaleSettings {
  /** Which of the things that stand off the backdrop is measured, likeliest first, from 1. */
  readonly piece: number;
  /** Thickness of the piece, mm, if known: half of it is the height of the margin over the mat, for the parallax. */
  readonly thickness?: number;
  /** Swap tip and base of the edge-on view. */
  readonly flipEdgeOn?: boolean;
  /** Corrections of the outline, in the order in which they were made. */
  readonly corrections?: readonly Correction[];
  /** Of further photographs, each view once. */
  readonly views?: readonly ViewSettings[];
}

/** Specimen frame: mm, right-handed, +Y base→tip, +Z out of Face A, +X right; origin on axis, base end, margin plane. */
export interface Frame {
  /** From the file's coordinates (in the file's own unit; of a photograph the plane of its scale, mm) to the specimen frame (mm). */
  readonly matrix: Matrix4;
  /** From scan millimetres to the specimen frame: the same without the unit factor; rigid. */
  readonly rigid: Matrix4;
  readonly axis: AxisId;
  /** Of a photograph the side that it shows. */
  readonly faceA: 'more-volume' | 'flipped' | 'photographed';
  readonly tip: 'less-area' | 'flipped' | 'placed';
  /**
   * The three automatic axes as seen from the chosen one: turn in degrees (counter-clockwise on Face A) and the x in mm
   * at which each crosses mid-length. The spread of results under them is a component of uncertainty.
   */
  readonly axes: Readonly<
    Record<'mirror' | 'principal' | 'longest', { readonly angle: number; readonly x: number }>
  >;
}

/** What the points of a traced line may be off by, mm. */
export interface PointErrors {
  /** Standard deviation of the noise left in each point, in plan and in height. */
  readonly plan: Float64Array;
  readonly height: Float64Array;
  /** Where the margin is no edge but a wall: how far above and below its middle, which is drawn, the wall reaches; else 0. */
  readonly wall: Float64Array;
}

/** Plan silhouette in the margin plane, mm in the frame. Outer ring counter-clockwise, inner rings clockwise, simple. */
export interface Outline {
  readonly outer: Points2;
  readonly inner: readonly Points2[];
  /** Of a scan: what each point of `outer` may be off by. */
  readonly left?: PointErrors;
  /** Of a photograph: standard uncertainty of each point of `outer`, square to it, mm, by what the picture shows about it. */
  readonly errors?: Float64Array;
}

export const SIDES = ['left', 'right', 'tip', 'base'] as const;
export type Side = (typeof SIDES)[number];

/** The 3D margin: closed, ordered from the tip clockwise seen on Face A (so down the right side first). */
export interface MarginLine {
  /** 3 × n; first point is the tip (greatest y); closed implicitly. */
  readonly points: Points3;
  /** Arc length in mm from the tip to each point, measured in 3D; n long, first 0. */
  readonly arc: Float64Array;
  /** Whole length round, mm. */
  readonly length: number;
  /** Index into SIDES for each point. tip: station > 95; base: station < 5; else left (x < midline) or right. */
  readonly side: Uint8Array;
}

/** Chords of the outline at equally spaced stations 0…100, outermost margins. Columns of equal length. */
export interface Midline {
  /** Percent of length from base to tip. */
  readonly station: Float64Array;
  /** Frame y in mm. */
  readonly y: Float64Array;
  /** x of the outermost left and right margins (mm). At the very ends both are the end point's x. */
  readonly leftX: Float64Array;
  readonly rightX: Float64Array;
  /** Midpoint x, mm. */
  readonly x: Float64Array;
  /** 1 where the station has more than one chord (barbs, notches, holes). */
  readonly several: Uint8Array;
}

/** What the scan itself says of its own quality. mm. */
export interface ScanQuality {
  /** Mean triangle edge. */
  readonly meanEdge: number;
  /** Standard deviation of surface noise, estimated from the surface itself. */
  readonly noise: number;
  /** Distance between places whose noise is independent: the mean edge, unless neighbours err alike. */
  readonly grain?: number;
  /** Noise besides that neighbours share, of which no calming takes anything off: its size, and the length over which it is alike. */
  readonly alike?: { readonly sigma: number; readonly reach: number };
  /** Standard uncertainty of the outline's place by a second tracing of it (a photograph of the other face), or by how far soft edges leave it open. */
  readonly tracing?: number;
  /** How far the traced outline may lie off the margin for its coarseness alone: stray of its points and sag of its chords. */
  readonly lineError?: number;
  /** What may be missing of the area (mm²) and of the way round (mm) where the margin runs along holes: standard uncertainties. */
  readonly unscanned?: { readonly area: number; readonly around: number };
  /** Standard uncertainty of a place on the surface by thinning of the scan; absent where it is whole. */
  readonly thinning?: number;
  /** Noise of the traced line before it was taken off, and root mean square of what is left of it, in plan and in height. */
  readonly line?: {
    readonly noise: number;
    readonly plan: number;
    readonly height: number;
    readonly spacing: number;
  };
}

/** The faces of a scan in the specimen frame. */
export interface Surface {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  /** Corner from which on triangles are no part of the scan but close its holes; absent where none does. */
  readonly patchedFrom?: number;
  readonly closed: boolean;
}

/** How well a silhouette in a further photograph is known. */
export interface ViewQuality {
  /** Width of a pixel, mm. */
  readonly pixel: number;
  /** Standard uncertainty of the outline's place square to it, and how far soft edges leave it open, mm. */
  readonly noise: number;
  readonly tracing: number;
  /** Relative standard uncertainty of the scale where the silhouette stands. */
  readonly scale: number;
}

/** A silhouette seen edge-on: heights at equally spaced stations, mm; 0 is the chord of the middle line. */
export interface EdgeOn {
  readonly y: Float64Array;
  /** Greatest height of Face A and least of Face B. */
  readonly faceA: Float64Array;
  readonly faceB: Float64Array;
  readonly quality: ViewQuality;
  /** Standard uncertainty of a station's place along the piece, mm. */
  readonly station: number;
  /** Standard uncertainty by what views from both sides differ by at each station, mm: in thickness, and in the middle between the faces. */
  readonly apart?: { readonly thickness: Float64Array; readonly middle: Float64Array };
  /** Tangent of the angle by which the line of sight to the middle leans across the thickness; 0 where the camera's place is not known. */
  readonly slant: number;
  /** Uncertainties likewise, mm, by how aslant the camera looked across the piece and how that leaned. */
  readonly aslant: { readonly thickness: Float64Array; readonly middle: Float64Array };
}

/** A silhouette seen from the tip: extents of the whole piece, mm. */
export interface EndOn {
  readonly width: number;
  readonly thickness: number;
  readonly quality: ViewQuality;
  /** Standard uncertainty of the thickness, mm, by how aslant the camera looked across it and how the piece leaned. */
  readonly aslant: number;
}

/** The margin of one side as it winds, traced in an edge-on view: x from the plan, y and z from the view. */
export interface EdgeLine {
  /** 3 × n from the base to the tip, open, mm in the frame. */
  readonly points: Points3;
  /** Width of a pixel of that view, mm. */
  readonly pixel: number;
}

/** A traced piece. A photo's model has no surface and no margin heights. */
export interface Model {
  readonly frame: Frame;
  readonly outline: Outline;
  readonly midline: Midline;
  /** Extent along y, mm; y runs 0…length. */
  readonly length: number;
  /** Present for scans. */
  readonly surface?: Surface;
  readonly margin?: MarginLine;
  /** Present for photographs with an edge-on view. */
  readonly edgeOn?: EdgeOn;
  /** Present for photographs with a view from the tip. */
  readonly endOn?: EndOn;
  /** Present for photographs in which the winding edge of a side was traced. */
  readonly edgeLines?: Partial<Record<'left' | 'right', EdgeLine>>;
  readonly quality: ScanQuality;
  /** Standard uncertainty of the hand at each point of the outer ring, mm, 0 where it was traced; absent where no hand drew. */
  readonly drawn?: Float64Array;
  /**
   * How far each point of the outer ring would seem to move if the margin stood higher there by one standard uncertainty of
   * how it winds and leans, x y pairs, mm; of photographs whose camera's place is known.
   */
  readonly sway?: Points2;
  /** Relative standard uncertainty of scale (0 when the file's unit is trusted). */
  readonly scaleUncertainty: number;
  readonly warnings: readonly Warning[];
}

/** A shape that can't be traced. One plain sentence; stable code. */
export class TraceError extends Error {
  override readonly name = 'TraceError';
  readonly code: string;
  constructor(code: string, message: string) {
    super(message);
    this.code = code;
  }
}
