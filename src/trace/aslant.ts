/**
 * A body seen aslant: what its silhouette, drawn in a plane that stands level through it, shows of its sections, and how what
 * stands above or below that plane is moved away from the foot of the camera or towards it.
 */

/** Where the camera stands over the plane in which a silhouette is drawn, mm: its foot in the frame of the silhouette, and its height. */
export interface CameraOver {
  readonly x: number;
  readonly y: number;
  readonly height: number;
}

/** A piece that is stood up by eye leans by about this much, radians (practice). */
export const LEANS = (3 * Math.PI) / 180;
/**
 * How far apart the crests of the two faces of a section lie, along its width and as a share of it: a slant shows so much of
 * the width from its first degree on (standard deviation, on generated pieces).
 */
const CRESTS_APART = 0.15;

/** A thickness with its standard uncertainty, and that of the middle between the two faces, mm. */
export interface ThicknessAslant {
  readonly value: number;
  readonly u: number;
  readonly middle: number;
}

/**
 * The thickness T of a section `across` mm wide, of which `seen` mm show by a line of sight that leans by `slant` (its
 * tangent) from the width towards the thickness. Of a rhomboid section T shows, of an ellipse √(T² + slant²·across²), of a
 * lens of two parabolas T + slant²·across²/4T, while none of them shows its edges before its faces: what a lens makes of
 * `seen` is the mean of the other two, and which form it is makes the uncertainty, evenly between those. With
 * it go crests that do not lie over each other, and that the piece leans by itself.
 */
export function thicknessAslant(seen: number, across: number, slant: number): ThicknessAslant {
  const straight = Math.sqrt(Math.max(0, seen ** 2 - (slant * across) ** 2));
  const value = (seen + straight) / 2;
  const form = (seen - straight) / 2 / Math.sqrt(3);
  const crests = CRESTS_APART * across * Math.hypot(slant, LEANS);
  // Two crests that stray by themselves have a middle that strays half as much as they lie apart.
  return { value, u: Math.hypot(form, crests, leaning(value, across, slant)), middle: crests / 2 };
}

/** What a lens shows more or less of its width by a lean of its own beside a slant that is known: root mean square. */
function leaning(thickness: number, across: number, slant: number): number {
  if (!(thickness > 0)) return across * LEANS;
  const shown = (aslant: number): number => {
    const x = (Math.abs(aslant) * across) / thickness;
    return thickness * (x < 2 ? 1 + (x * x) / 4 : x);
  };
  const here = shown(slant);
  return Math.hypot(shown(slant + LEANS) - here, shown(slant - LEANS) - here) / Math.SQRT2;
}

/** Where a place `at` (mm from the foot of the camera) is seen on the plane when it stands `rise` mm above that. */
export function seenAt(at: number, rise: number, height: number): number {
  return (at * height) / (height - rise);
}

/** Where what is seen at a place of the plane (mm from the foot) is, when it stands `rise` mm above that: the inverse. */
export function placeOfSeen(seen: number, rise: number, height: number): number {
  return (seen * (height - rise)) / height;
}

/** How a body lies in its silhouette along one direction: where its own 0 is in the silhouette, and how long it is seen, mm. */
export interface LaidAlong {
  readonly zero: number;
  readonly from: number;
  readonly to: number;
}

/**
 * The points of a body, each with its place `along` from the body's own 0 and its `rise` over the plane (mm), laid where the
 * middle of what they show is that of the silhouette from `low` to `high`. `foot` is the camera's, along the same direction.
 */
export function layAlong(
  along: ArrayLike<number>,
  rise: ArrayLike<number>,
  [low, high]: readonly [number, number],
  camera: { readonly foot: number; readonly height: number } | undefined,
): LaidAlong {
  let zero = low;
  let [from, to] = [low, high];
  // The slant changes with the place, so that it is laid again where it came to lie: each round gains two decimals.
  for (let round = 0; round < 4; round++) {
    [from, to] = [Infinity, -Infinity];
    for (let i = 0; i < along.length; i++) {
      const at = zero + along[i];
      const seen = camera === undefined ? at : camera.foot + seenAt(at - camera.foot, rise[i], camera.height);
      from = Math.min(from, seen);
      to = Math.max(to, seen);
    }
    const off = (low + high - from - to) / 2;
    zero += off;
    from += off;
    to += off;
  }
  return { zero, from, to };
}
