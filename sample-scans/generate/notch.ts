import { scarOf } from './blow.ts';
import { platformAt } from './platform.ts';
import { createRandom } from './random.ts';
import { flakeRemoval } from './scar.ts';
import type { Stone } from './stone.ts';

/** A notch worked into the margin by short flakes, one face after the other. mm. */
export interface Notch {
  /** Deepest point of the notch in plan, and the unit direction into the stone. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly width: number;
}

export function workNotch(stone: Stone, notch: Notch, seed: number): void {
  const random = createRandom(seed);
  const flake = 0.62 * notch.width;
  for (let turn = 0; turn < 90; turn++) {
    const aside = random.between(-0.22, 0.22) * notch.width;
    const start = platformAt(
      stone,
      notch.x - aside * notch.dy,
      notch.y + aside * notch.dx,
      notch.dx,
      notch.dy,
      random.between(0.5, 0.9),
      0.15,
    );
    if (!start) continue;
    const face = turn % 2 === 0 ? 0 : 1;
    const scar = scarOf(
      stone,
      {
        face,
        x: start.x,
        y: start.y,
        dx: notch.dx,
        dy: notch.dy,
        length: random.between(0.6, 0.85) * notch.width,
        width: flake * random.between(0.85, 1.1),
        behind: start.proud + 1.5,
        thickest: random.between(0.45, 0.7),
        thinnest: 0.05,
        wanted: () => 0,
        termination: random.chance(0.3) ? 'hinge' : 'feather',
        bulb: 0.25,
        flare: 1,
        ripple: 0,
        tightest: 2.4 / notch.width,
      },
      random,
    );
    if (scar) stone.remove(face, flakeRemoval(scar));
  }
}
