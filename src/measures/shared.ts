import { type EllipticFourier, ellipticFourier } from '../geometry/ellipticFourier.ts';
import { heightField } from '../geometry/heightField.ts';
import { sliceAreas } from '../geometry/slices.ts';
import type { Model, Surface } from '../trace/types.ts';
import { computeEdgeAngles, type EdgeAngles } from './edgeAngles.ts';
import { makePlan, type Plan } from './outlinePlan.ts';
import { makeCuts, type SectionCuts } from './sectionCuts.ts';
import { makeThicknessField, type ThicknessField } from './thicknessField.ts';
import { type Body, measureBody } from './thicknessVolume.ts';
import type { MeasureSettings, ThicknessMap } from './types.ts';

/** Harmonics that an outline is told by. */
export const HARMONICS = 20;

/** What several families need of one model, made on first use and kept for the length of one measuring run. */
export interface Shared {
  readonly plan: Plan;
  /** Share of the outline's area that its reflection in the length axis covers, percent. */
  readonly overlap: number;
  /** HARMONICS harmonics of the outer ring. */
  readonly fourier: EllipticFourier;
  /** Volume and surface; needs a scanned surface. */
  readonly body: Body;
  readonly thicknessMap: ThicknessMap;
  /** The map made ready for values free of noise; needs a scanned surface. */
  readonly thicknessField: ThicknessField;
  /** Sections at fixed stations and where the piece is widest and thickest; needs a scanned surface. */
  readonly cuts: SectionCuts;
  /** Area of the section at each station of the midline, mm²; undefined where the scan is not closed. */
  readonly sectionAreas: Float64Array | undefined;
  /** Edge angles round the margin; needs a scanned surface. */
  readonly edgeAngles: EdgeAngles;
}

/** @param known how to come by what follows from another model that was measured */
export function createShared(
  model: Model,
  settings: MeasureSettings,
  known: {
    readonly plan?: () => Plan;
    readonly fourier?: () => EllipticFourier;
    readonly overlap?: number;
    readonly body?: () => Body;
    readonly thicknessField?: () => ThicknessField;
    readonly cuts?: () => SectionCuts;
  } = {},
): Shared {
  let plan: Plan | undefined;
  let fourier: EllipticFourier | undefined;
  let body: Body | undefined;
  let map: ThicknessMap | undefined;
  let field: ThicknessField | undefined;
  let cuts: SectionCuts | undefined;
  let areas: Float64Array | undefined;
  let angles: EdgeAngles | undefined;
  return {
    get plan() {
      plan ??= known.plan?.() ?? makePlan(model);
      return plan;
    },
    get overlap() {
      return known.overlap ?? this.plan.overlapAt(0);
    },
    get fourier() {
      fourier ??= known.fourier?.() ?? ellipticFourier(model.outline.outer, HARMONICS);
      return fourier;
    },
    get body() {
      body ??= known.body?.() ?? measureBody(model, settings, this.plan);
      return body;
    },
    get thicknessMap() {
      map ??= makeThicknessMap(model, settings);
      return map;
    },
    get thicknessField() {
      field ??= known.thicknessField?.() ?? makeThicknessField(model, this.thicknessMap);
      return field;
    },
    get cuts() {
      cuts ??= known.cuts?.() ?? makeCuts(model, settings, this.plan, this.thicknessField);
      return cuts;
    },
    get sectionAreas() {
      if (model.surface?.closed) areas ??= sliceAreas(model.surface.mesh, model.midline.y, 1);
      return areas;
    },
    get edgeAngles() {
      angles ??= computeEdgeAngles(model, settings);
      return angles;
    },
  };
}

/**
 * Cells are at most `mapCell` and at most 1/400 of the length, so that small pieces are resolved as well as large; but
 * never less than 1/2000 of it, so that a block of metres (or a wrong unit) does not ask for millions of rows.
 */
function makeThicknessMap(model: Model, settings: MeasureSettings): ThicknessMap {
  const surface: Surface | undefined = model.surface;
  if (surface === undefined) throw new Error('a thickness map needs a scanned surface');
  const cell = Math.max(Math.min(settings.mapCell, model.length / 400), model.length / 2000);
  const field = heightField(surface.mesh, cell);
  return {
    x0: field.x0,
    y0: field.y0,
    cell,
    columns: field.columns,
    rows: field.rows,
    faceA: field.top,
    faceB: field.bottom,
  };
}
