import type { HandGuess } from '../../state/handCheck.ts';
import { printNumber } from '../../words/values.ts';
import { useWorkbench } from '../../workbench.ts';
import { type Desk, directions, type Spot } from './desk.ts';
import { Handle } from './Handle.tsx';

/** Where the calipers stand before they are touched, as shares of their reach. */
const OPEN_LENGTH = 0.55;
const OPEN_WIDTH = 0.62;
/** The axis can be leaned so far, degrees. */
const MOST_LEAN = 60;
/** Radius at which the axis is taken hold of, as a share of the reach. */
const KNOB = 0.93;

/** The axis that the student sees, and two pairs of jaws that follow it. */
export function Calipers({ desk, guess }: { desk: Desk; guess: HandGuess }) {
  const { bench } = useWorkbench();
  const { reach, scale, middle } = desk;
  const lean = guess.axis ?? 0;
  const length = guess.length ?? ([-OPEN_LENGTH * reach, OPEN_LENGTH * reach] as const);
  const width = guess.width ?? ([-OPEN_WIDTH * reach, OPEN_WIDTH * reach] as const);
  const { along, right } = directions(lean);
  /** Along and to the right of the axis, mm, to the drawing. */
  const at = (a: number, r: number): Spot => [
    middle[0] + scale * (a * along[0] + r * right[0]),
    middle[1] + scale * (a * along[1] + r * right[1]),
  ];
  const over = (x: number, y: number, way: Spot): number =>
    ((x - middle[0]) * way[0] + (y - middle[1]) * way[1]) / scale;
  const jaw = ([ax, ay]: Spot, [bx, by]: Spot): string => `M${ax} ${ay}L${bx} ${by}`;
  const knob = at(KNOB * reach, 0);
  const still = guess.asked;
  if (still) return <Still lines={[jaw(at(-reach, 0), at(reach, 0))]} />;
  return (
    <g className="calipers">
      <Handle
        className="handle-axis"
        label="Direction of the length axis"
        value={lean}
        spoken={`leans ${printNumber(Math.abs(lean), 1)} degrees to the ${lean >= 0 ? 'left' : 'right'}`}
        least={-MOST_LEAN}
        most={MOST_LEAN}
        step={0.5}
        onMove={(axis) => bench.readByHand({ axis })}
        valueAt={(x, y) => (Math.atan2(-(x - middle[0]), -(y - middle[1])) * 180) / Math.PI}
      >
        <path className="handle-hold" d={jaw(at(-reach, 0), at(reach, 0))} />
        <path className="handle-line" d={jaw(at(-reach, 0), at(reach, 0))} />
        <circle className="handle-knob" cx={knob[0]} cy={knob[1]} r={9} />
      </Handle>
      {([0, 1] as const).map((k) => (
        <Handle
          key={`length${k}`}
          className="handle-length"
          label={`Length caliper, ${k === 0 ? 'lower' : 'upper'} jaw`}
          value={length[k]}
          spoken={`jaws ${printNumber(length[1] - length[0], 1)} millimetres apart`}
          least={k === 0 ? -reach : length[0]}
          most={k === 0 ? length[1] : reach}
          step={0.1}
          onMove={(value) => bench.readByHand({ length: k === 0 ? [value, length[1]] : [length[0], value] })}
          valueAt={(x, y) => over(x, y, along)}
        >
          <path className="handle-hold" d={jaw(at(length[k], -0.5 * reach), at(length[k], 0.5 * reach))} />
          <path className="handle-line" d={jaw(at(length[k], -0.5 * reach), at(length[k], 0.5 * reach))} />
        </Handle>
      ))}
      {([0, 1] as const).map((k) => (
        <Handle
          key={`width${k}`}
          className="handle-width"
          label={`Width caliper, ${k === 0 ? 'left' : 'right'} jaw`}
          value={width[k]}
          spoken={`jaws ${printNumber(width[1] - width[0], 1)} millimetres apart`}
          least={k === 0 ? -reach : width[0]}
          most={k === 0 ? width[1] : reach}
          step={0.1}
          onMove={(value) => bench.readByHand({ width: k === 0 ? [value, width[1]] : [width[0], value] })}
          valueAt={(x, y) => over(x, y, right)}
        >
          <path className="handle-hold" d={jaw(at(-0.4 * reach, width[k]), at(0.4 * reach, width[k]))} />
          <path className="handle-line" d={jaw(at(-0.4 * reach, width[k]), at(0.4 * reach, width[k]))} />
        </Handle>
      ))}
    </g>
  );
}

/** What was read, once it can no longer be changed. */
function Still({ lines }: { lines: readonly string[] }) {
  return lines.map((d) => <path key={d} className="handle-line handle-still" d={d} />);
}
