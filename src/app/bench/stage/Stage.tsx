import { Canvas } from '@react-three/fiber';
import {
  type KeyboardEvent,
  startTransition,
  useCallback,
  useDeferredValue,
  useMemo,
  useRef,
  useState,
} from 'react';
import type { DisplayMesh, TracedPiece } from '../../../../workers/messages.ts';
import { useIsDark } from '../../frame/theme.ts';
import { printNumber } from '../../words/values.ts';
import { useBench } from '../../workbench.ts';
import { Compile } from './Compile.tsx';
import { hasGraphics } from './graphics.ts';
import { LampDial } from './LampDial.tsx';
import { NoStage } from './NoStage.tsx';
import { type GripPlace, GripTracker, PlaneGrip } from './PlaneGrip.tsx';
import { type Lamp, Rig, type RigHandle } from './Rig.tsx';
import { Scene } from './Scene.tsx';
import { StageWaiting } from './StageWaiting.tsx';
import { type Scale, SHADE_LABELS, SHADES, type Shade, scaleOf } from './shades.ts';
import { type Extent, VIEW_LABELS, VIEWS, type ViewName } from './views.ts';

const LAMP: Lamp = { azimuth: 135, elevation: 32 };
const STEP = Math.PI / 12;
/** Keys that turn the piece: about its length axis, over it. */
const TURNS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [STEP, 0],
  ArrowRight: [-STEP, 0],
  ArrowUp: [0, STEP],
  ArrowDown: [0, -STEP],
};
const ZOOMS: Readonly<Record<string, number>> = { '+': 1.2, '=': 1.2, '-': 1 / 1.2 };

/** The piece in three dimensions, tip up, without perspective: what is drawn can be measured with the bar below it. */
export function Stage({ traced }: { traced: TracedPiece | null }) {
  // In a hand check nothing that was found is drawn before it is asked for.
  const hidden = useBench((state) => state.handCheck !== null && !state.handCheck.asked);
  const found = useDeferredValue(useBench((state) => state.measured));
  const measured = hidden ? null : found;
  const dark = useIsDark();
  const rig = useRef<RigHandle>(null);
  const grip = useRef<HTMLDivElement>(null);
  const gripPlace = useRef<GripPlace>({ x: 0, y: 0, alongX: 0, alongY: 0 });
  const [view, setView] = useState<ViewName | null>('A');
  const [shade, setShade] = useState<Shade>('stone');
  const [lamp, setLamp] = useState(LAMP);
  const [scale, setScale] = useState(1);
  const [begun, setBegun] = useState(false);
  const [compiled, setCompiled] = useState(false);
  const extent = useMemo(() => (traced ? extentOf(traced.mesh) : null), [traced]);
  const shading = useMemo(() => (measured?.drawn ? scaleOf(measured.drawn, shade) : null), [measured, shade]);
  const onCompiled = useCallback(() => setCompiled(true), []);
  const onTurned = useCallback(() => setView(null), []);
  if (traced === null || extent === null) return <StageWaiting measured={found} />;
  if (!hasGraphics()) return <NoStage measured={found} />;

  const onKeyDown = (event: KeyboardEvent): void => {
    const turn = TURNS[event.key];
    const zoom = ZOOMS[event.key];
    if (turn) rig.current?.turn(...turn);
    else if (zoom) rig.current?.zoom(zoom);
    else return;
    event.preventDefault();
  };
  return (
    <section className="panel stage" aria-label="The piece in three dimensions">
      <div className="panel-tools">
        {VIEWS.map((name) => (
          <button
            key={name}
            type="button"
            className="button"
            aria-pressed={view === name}
            onClick={() => {
              setView(name);
              rig.current?.show(name);
            }}
          >
            {VIEW_LABELS[name]}
          </button>
        ))}
        <select
          className="panel-tools-end"
          aria-label="What the surface shows"
          value={hidden ? 'stone' : shade}
          disabled={hidden}
          onChange={({ currentTarget }) => setShade(currentTarget.value as Shade)}
        >
          {SHADES.map((name) => (
            <option key={name} value={name}>
              {SHADE_LABELS[name]}
            </option>
          ))}
        </select>
      </div>
      <div
        className="panel-fill stage-canvas"
        role="application"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it is turned and zoomed with keys
        tabIndex={0}
        aria-label={`${view === null ? 'Piece' : VIEW_LABELS[view]}. Arrow keys turn it, plus and minus zoom.`}
        onKeyDown={onKeyDown}
      >
        <Canvas
          orthographic
          frameloop={compiled ? 'demand' : 'never'}
          dpr={[1, 2]}
          camera={{ position: [0, 0, 500], near: 0.1, far: 2000 }}
          // The graphics are begun and the piece is laid into them in two goes: together they would hold up the page.
          onCreated={() => startTransition(() => setBegun(true))}
        >
          <Rig handle={rig} extent={extent} lamp={lamp} onScale={setScale} onTurned={onTurned} />
          {measured && <GripTracker place={gripPlace} grip={grip} extent={extent} length={traced.length} />}
          {begun && <Scene traced={traced} measured={measured} shade={shade} dark={dark} />}
          {begun && <Compile compiled={compiled} onCompiled={onCompiled} />}
        </Canvas>
        <ScaleBar scale={scale} />
        {measured && <PlaneGrip place={gripPlace} grip={grip} record={measured.record} />}
        {shading && <ShadeKey scale={shading} />}
      </div>
      <LampDial lamp={lamp} onMove={setLamp} />
      {traced.mesh.fullTriangles > traced.mesh.triangles.length / 3 && (
        <p className="stage-note">
          Drawn with {round(traced.mesh.triangles.length / 3)} of {round(traced.mesh.fullTriangles)}{' '}
          triangles; measured on all.
        </p>
      )}
    </section>
  );
}

/** About the length axis: the piece turns without leaving the picture. */
function extentOf({ low, high }: DisplayMesh): Extent {
  return {
    x: 2 * Math.max(high[0], -low[0]),
    y: high[1] - low[1],
    z: 2 * Math.max(high[2], -low[2]),
  };
}

function round(triangles: number): string {
  return `${printNumber(triangles / 1000, 0)} thousand`;
}

/** A bar of a round length at the drawing's own scale. */
function ScaleBar({ scale }: { scale: number }) {
  const mm = [200, 100, 50, 20, 10, 5, 2, 1, 0.5].find((length) => length * scale <= 140) ?? 0.2;
  return (
    <div className="stage-scale">
      <svg width={mm * scale + 2} height={8} aria-hidden="true">
        <path d={`M1 1v6M1 4h${mm * scale}m0 -3v6`} />
      </svg>
      <span>{mm}&#8239;mm</span>
    </div>
  );
}

/** The scale of the colours: light is much, dark is little. */
function ShadeKey({ scale: { low, high, unit, words } }: { scale: Scale }) {
  const set = (value: number): string =>
    unit === '°' ? `${printNumber(value, 0)}°` : `${printNumber(value, value === 0 ? 0 : 1)}\u202fmm`;
  return (
    <div className="shade-key">
      <span>{set(high)}</span>
      <span className="shade-ramp" aria-hidden="true" />
      <span>{set(low)}</span>
      <span className="soft">{words}</span>
    </div>
  );
}
