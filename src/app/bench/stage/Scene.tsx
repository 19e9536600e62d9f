import { useMemo } from 'react';
import type { MeasuredPiece, TracedPiece } from '../../../../workers/messages.ts';
import type { Pair, RecordSection } from '../../../record/schema.ts';
import { useBench } from '../../workbench.ts';
import { Line } from './Lines.tsx';
import type { Shade } from './paint.ts';
import { Surface } from './Surface.tsx';

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
  const sections = measured?.record.sections;
  const rings = useMemo(
    () =>
      (sections ?? [])
        .filter(({ at }) => at === 'station')
        .map((section) => ({ station: section.station, points: ringOf(section) })),
    [sections],
  );
  return (
    <group position={[0, -traced.length / 2, 0]}>
      <Surface traced={traced} drawn={drawn} shade={shade} />
      <Line points={traced.margin} color={dark ? '#ffb088' : MARGIN} width={2.5} closed hidden />
      {rings.map(({ station, points }) => (
        <Line key={station} points={points} color={INK} width={1} opacity={0.45} closed />
      ))}
      {drawn && <Line points={drawn.midlineA} color={INK} width={1.4} />}
      {drawn && <Line points={drawn.midlineB} color={INK} width={1.4} />}
      {drawn?.footprints.map((points, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: humps have no name but their place in the record
        <Line key={index} points={points} color={HUMP} width={1.8} closed />
      ))}
      {sections !== undefined && sections.length > 0 && <StationRing sections={sections} />}
    </group>
  );
}

/** The section that all views point at. */
function StationRing({ sections }: { sections: readonly RecordSection[] }) {
  const station = useBench((state) => state.station);
  const nearest = sections.reduce((best, one) =>
    Math.abs(one.station - station) < Math.abs(best.station - station) ? one : best,
  );
  const points = useMemo(() => ringOf(nearest), [nearest]);
  return <Line points={points} color={MARGIN} width={2.2} closed hidden />;
}

function ringOf({ points, y }: { points: readonly Pair[]; y: number }): Float32Array {
  const out = new Float32Array(3 * points.length);
  points.forEach(([x, z], i) => {
    out.set([x, y, z], 3 * i);
  });
  return out;
}
