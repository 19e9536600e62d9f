import type { Matrix4, TriangleMesh } from '../../src/geometry/types.ts';
import { createField, type FieldSpec, type PieceField } from './field.ts';
import { meshField } from './meshField.ts';
import type { HoleSpec } from './meshSheets.ts';
import { type OutlineSpec, planPolygon } from './outlines.ts';
import { makePose, type NoiseSpec, type Pose, shuffled, withNoise, withPose } from './pose.ts';
import { createRandom } from './random.ts';
import { planDomain, type SnapSpec } from './snap.ts';
import { createTruth, type PieceTruth } from './truth.ts';

/** What a test piece is made of. Lengths in mm, angles in degrees. */
export interface PieceSpec extends FieldSpec {
  readonly outline: OutlineSpec;
  readonly seed: number;
  /** About how many triangles the scan has. Default 150 000. */
  readonly triangles?: number;
  readonly noise?: NoiseSpec;
  readonly snap?: SnapSpec;
  /** Round holes in the scan, as shadowed spots leave them. */
  readonly holes?: readonly HoleSpec[];
  /** `random` (default): any turn, shift within ±200 mm. `design`: left as designed. */
  readonly pose?: 'random' | 'design';
  /** Scan units in a millimetre: 1 (default), 0.1 for cm, 1/25.4 for inches … */
  readonly unitsPerMm?: number;
  /** Mix the order of vertices and triangles. Default true. */
  readonly shuffle?: boolean;
}

export interface Piece {
  readonly spec: PieceSpec;
  /** Closed unless `holes` were asked for, outward, in scan units (mm unless `unitsPerMm` says otherwise), posed. */
  readonly mesh: TriangleMesh;
  readonly truth: PieceTruth;
  /** Scan → specimen frame (mm) under the `mirror` axis, column-major. */
  readonly toFrame: Matrix4;
  /** The analytic piece in its design frame. */
  readonly field: PieceField;
  readonly pose: Pose;
}

export function makePiece(spec: PieceSpec): Piece {
  const shape = planPolygon(spec.outline, spec.seed);
  const field = createField(spec, shape, spec.seed, planDomain(shape, spec.snap, spec.seed));
  const random = createRandom(spec.seed ^ 0x3c6ef372);
  const pose = makePose(spec.pose ?? 'random', spec.unitsPerMm ?? 1, random);
  const clean = meshField(field, { triangles: spec.triangles ?? 150_000, holes: spec.holes ?? [] }, random);
  const noisy = spec.noise ? withNoise(clean, spec.noise, random) : clean;
  const posed = withPose(noisy, pose);
  const mesh = (spec.shuffle ?? true) ? shuffled(posed, random) : posed;
  const truth = createTruth(field, spec.humps ?? [], pose);
  return {
    spec,
    mesh,
    truth,
    get toFrame() {
      return truth.axes.mirror.toFrame;
    },
    field,
    pose,
  };
}
