import { useMemo } from 'react';
import type { MeasuredPiece, TracedPiece } from '../../../../workers/messages.ts';
import { useBench } from '../../workbench.ts';
import { cutAt } from '../cuts.ts';
import { ShownInSpace } from '../show/ShownInSpace.tsx';
import { Line } from './Lines.tsx';
import { SectionPlane } from './SectionPlane.tsx';
import { StationPointer } from './StationPointer.tsx';
import { Surface } from './Surface.tsx';
import type { Shade } from './shades.ts';

interface SceneProps {
  readonly traced: TracedPiece;
  readonly measured: MeasuredPiece | null;
  readonly shade: Shade;
  readonly dark: boolean;
}

/** The lines keep their colours in light and dark: they lie on stone, which does not change. */
const MARGIN = '#9a3f1c';
const INK = '#2b2620';
const HUMP = '#7a4a00';

/** The piece with what was found on it. Its middle lies in the origin, about which it turns. */
export function Scene({ traced, measured, shade, dark }: SceneProps) {
  const drawn = measured?.drawn;
  const rings = useMemo(
    () =>
      (measured?.record.settings.measure.sectionStations ?? []).flatMap((station) => {
        const cut = measured && cutAt(measured, station);
        const y = (station / 100) * traced.length;
        return (cut?.loops ?? []).map((loop, i) => ({ key: `${station} ${i}`, points: lift(loop, y) }));
      }),
    [measured, traced],
  );
  return (
    <group position={[0, -traced.length / 2, 0]}>
      <Surface traced={traced} drawn={drawn} shade={shade} />
      <Line points={traced.margin} color={dark ? '#ffb088' : MARGIN} width={2.5} closed hidden />
      {rings.map(({ key, points }) => (
        <Line key={key} points={points} color={INK} width={1} opacity={0.45} closed />
      ))}
      {drawn && <Line points={drawn.midlineA} color={INK} width={1.4} />}
      {drawn && <Line points={drawn.midlineB} color={INK} width={1.4} />}
      {drawn && <StationPointer cuts={drawn.cuts} length={traced.length} />}
      {drawn?.footprints.map((points, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: humps have no name but their place in the record
        <Line key={index} points={points} color={HUMP} width={1.8} closed />
      ))}
      {measured && <SectionPlane measured={measured} traced={traced} dark={dark} />}
      {measured && <StationRing measured={measured} />}
      {measured && <ShownInSpace record={measured.record} />}
    </group>
  );
}

/** The section that all views point at. */
function StationRing({ measured }: { measured: MeasuredPiece }) {
  const station = useBench((state) => Math.round(state.station));
  const rings = useMemo(() => {
    const cut = cutAt(measured, station);
    const y = ((cut?.station ?? 0) / 100) * measured.record.frame.length;
    return (cut?.loops ?? []).map((loop) => lift(loop, y));
  }, [measured, station]);
  return rings.map((points, index) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: loops of a cut have no name
    <Line key={index} points={points} color={MARGIN} width={2.2} closed hidden />
  ));
}

/** Pairs x z at one y as triples. */
function lift(loop: Float32Array, y: number): Float32Array {
  const out = new Float32Array((3 * loop.length) / 2);
  for (let i = 0; i < loop.length / 2; i++) {
    out[3 * i] = loop[2 * i];
    out[3 * i + 1] = y;
    out[3 * i + 2] = loop[2 * i + 1];
  }
  return out;
}
