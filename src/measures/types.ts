import type { Hooks, Points2, Points3, Warning } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import type { Shared } from './shared.ts';

/** What a measure can't do without. `faces` means a scanned surface with its margin. */
export type Need = 'outline' | 'margin' | 'faces';

/** Unit as written in tables. `1` is a pure number; `text` a word. */
export type MeasureUnit =
  | 'mm'
  | 'mm2'
  | 'mm3'
  | 'deg'
  | 'percent'
  | 'per_cm'
  | 'g'
  | 'g_per_cm2'
  | '1'
  | 'text'
  | 'count';

/** One row of the catalogue: everything a reader of a number may ask about it. */
export interface MeasureRow {
  /** As in the methods page: `edge.angle.left.mean`. Lower case, dots; numbers are stations or depths. */
  readonly id: string;
  readonly name: string;
  readonly unit: MeasureUnit;
  /** One or two sentences; formulas in plain text. */
  readonly definition: string;
  /** Published source, or `practice`, or `own definition`. */
  readonly source: string;
  readonly needs: Need;
  /** Depends on which length axis is chosen. */
  readonly axis: boolean;
  /** The power of length in it: mm 1, mm² 2, ratios and angles 0. Scale uncertainty follows from it. */
  readonly power: 0 | 1 | 2 | 3;
}

/**
 * Standard uncertainties by cause, each in the measure's own unit. Absent means not at work. `definition` stands beside
 * them and has no part in `u`.
 */
export interface Components {
  scale?: number;
  resolution?: number;
  noise?: number;
  orientation?: number;
  tracing?: number;
  /** Of stretches of the outline that were drawn by hand. */
  hand?: number;
  /** Standard deviation of the measure under the three automatic axes: what the choice of the length axis is worth. */
  definition?: number;
}

export interface Value {
  /** Null where it does not apply; then `reason` says why in one clause. */
  readonly value: number | string | null;
  readonly components?: Components;
  readonly minimum?: true;
  /** From silhouettes, not from the surface itself. */
  readonly estimated?: true;
  /** What its scale is not known to is among its components: it is of another picture than the outline. */
  readonly ownScale?: true;
  /** Along an edge that was traced by hand in an edge-on photograph. */
  readonly byHand?: true;
  readonly reason?: string;
}

/** A value as the record keeps it: components combined in quadrature into `u`. */
export interface Measurement extends Value {
  readonly id: string;
  readonly unit: MeasureUnit;
  /** Standard uncertainty (JCGM 100:2008), in the measure's unit. Absent for words and where value is null. */
  readonly u?: number;
}

/** Columns of equal length; numbers, words (side, reason) or 0/1 (valid). NaN is written as empty. */
export type Series = Readonly<Record<string, ArrayLike<number> | readonly string[]>>;

export interface Section {
  /** Station, percent. */
  readonly station: number;
  /** Why it is here: a fixed station, the greatest width or the greatest thickness. */
  readonly at: 'station' | 'width' | 'thickness';
  readonly y: number;
  /** Loops in the plane y = const as x z pairs, mm; outer loops counter-clockwise seen from the tip…base (x right, z up). */
  readonly loops: readonly Points2[];
  readonly area: number;
  readonly width: number;
  readonly thickness: number;
  /** Percent of the area on Face A (above the line between its own edges). */
  readonly faces: number;
  readonly form: string;
}

export interface Hump {
  readonly face: 'A' | 'B';
  /** Peak: frame x, y, z in mm on the surface. */
  readonly peak: readonly [number, number, number];
  readonly station: number;
  /** From the midline, mm, + right; and as percent of the half-width there. */
  readonly offset: number;
  readonly offsetShare: number;
  readonly prominence: number;
  /** Height of the peak above the reference face, mm. */
  readonly height: number;
  readonly thickness: number;
  /** Thickness there as a multiple of the piece's median thickness. */
  readonly thicknessRatio: number;
  /** Ring in plan, x y pairs, mm. */
  readonly footprint: Points2;
  readonly area: number;
  readonly volume: number;
  /** From each margin to the far foot of the hump along its section: mm and percent of the width there. */
  readonly run: {
    readonly left: number;
    readonly right: number;
    readonly leftShare: number;
    readonly rightShare: number;
  };
  /** Edge angle (deg) and edge offset (percent) on each side at that station; NaN where not to be had. */
  readonly edgeAngle: { readonly left: number; readonly right: number };
  readonly edgeOffset: { readonly left: number; readonly right: number };
}

/** Heights of both faces over a square grid in plan. */
export interface ThicknessMap {
  /** Frame x, y of the centre of cell (0, 0); mm. */
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
  /** rows × columns, row-major from the base; z in mm of Face A and Face B; NaN outside the outline. */
  readonly faceA: Float32Array;
  readonly faceB: Float32Array;
}

/** How far each face stands out over the face that thinning would have left, mm; the same kind of grid as the heights. */
export type ExcessMap = ThicknessMap;

export interface MeasureSettings {
  /** Smoothing scale of the perimeter, mm. */
  readonly perimeterScale: number;
  /** Smoothing scale of the edge-on line for sinuosity, mm. */
  readonly sinuosityScale: number;
  /** Dead band for edge turns, mm. */
  readonly turnBand: number;
  /** Spacing of edge-angle points, mm; inner and outer limit of the fit, mm; cap as share of local half-width. */
  readonly edgeSpacing: number;
  readonly edgeInner: number;
  readonly edgeOuter: number;
  readonly edgeCap: number;
  /** Grid of the thickness map, mm at most. */
  readonly mapCell: number;
  /** A hump's least prominence, mm and share of thickness; least footprint, mm². */
  readonly humpProminence: number;
  readonly humpShare: number;
  readonly humpFootprint: number;
  /** A hump's least prominence in robust spreads of its face about the reference, which is the relief of the scars. */
  readonly humpRelief: number;
  /** Stations (percent) at which sections are cut. */
  readonly sectionStations: readonly number[];
  /** g/cm³ for the estimated mass; absent: none is estimated. */
  readonly density?: number;
  /** Weighed mass, g. */
  readonly mass?: number;
  /** Stretches of margin marked as a break: from, to as arc length in mm from the tip. */
  readonly breaks: readonly (readonly [number, number])[];
  /** Stretches of margin that are left out of all that is measured on the margin line, and why. Absent: none. */
  readonly excluded?: readonly LeftOut[];
}

/** A stretch of margin that says nothing of the piece as it was made: modern damage, a hole of the scan. */
export interface LeftOut {
  /** Arc length in mm from the tip; a stretch whose end lies before its start goes round the tip. */
  readonly from: number;
  readonly to: number;
  /** In the words of who decided it. */
  readonly reason: string;
}

export interface FamilyResult {
  /** By measure id. Every row of the family has a value (perhaps null with a reason). */
  readonly values: Readonly<Record<string, Value>>;
  readonly series?: Readonly<Record<string, Series>>;
  readonly sections?: readonly Section[];
  readonly humps?: readonly Hump[];
  readonly excess?: ExcessMap;
  readonly warnings?: readonly Warning[];
}

/** A family of measures: rows for the catalogue and one pure function that fills them. */
export interface Family {
  readonly id: string;
  readonly title: string;
  readonly rows: readonly MeasureRow[];
  /**
   * `shared` holds what several families need (height map, slices), made on first use.
   * Called only when the model has what the rows need; the caller writes the reasons otherwise.
   */
  compute(model: Model, settings: MeasureSettings, shared: Shared, hooks?: Hooks): FamilyResult;
  /** The values that depend on the length axis alone, where that is much less work than `compute`. */
  alongAxis?(model: Model, settings: MeasureSettings, shared: Shared): FamilyResult['values'];
}

export interface MeasureResult {
  readonly measurements: readonly Measurement[];
  readonly series: Readonly<Record<string, Series>>;
  readonly sections: readonly Section[];
  readonly humps: readonly Hump[];
  readonly thicknessMap?: ThicknessMap;
  readonly excess?: ExcessMap;
  readonly warnings: readonly Warning[];
}

export type { Points2, Points3 };
