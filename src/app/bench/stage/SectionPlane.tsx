import { useThree } from '@react-three/fiber';
import { useEffect, useMemo } from 'react';
import { BufferAttribute, BufferGeometry, DoubleSide } from 'three';
import type { DisplayMesh, MeasuredPiece, TracedPiece } from '../../../../workers/messages.ts';
import { useBench } from '../../workbench.ts';
import { Line } from './Lines.tsx';

/** The pane reaches beyond the stone, on to the ground of the page. */
const COLOURS = { light: '#9a3f1c', dark: '#ef9468' } as const;
/** How far the plane reaches beyond the piece. */
const BEYOND = 1.12;

interface SectionPlaneProps {
  readonly measured: MeasuredPiece;
  readonly traced: TracedPiece;
  readonly dark: boolean;
}

/** The plane square to the length axis that cuts the section, as a pane of glass. */
export function SectionPlane({ measured, traced, dark }: SectionPlaneProps) {
  const colour = dark ? COLOURS.dark : COLOURS.light;
  const station = useBench((state) => state.station);
  const invalidate = useThree((state) => state.invalidate);
  const y = (station / 100) * measured.record.frame.length;
  const corners = useMemo(() => paneOf(traced.mesh), [traced]);
  const geometry = useMemo(() => {
    const made = new BufferGeometry();
    made.setAttribute('position', new BufferAttribute(corners, 3));
    made.setIndex([0, 1, 2, 0, 2, 3]);
    return made;
  }, [corners]);
  useEffect(() => () => geometry.dispose(), [geometry]);
  useEffect(() => {
    if (y >= 0) invalidate();
  }, [y, invalidate]);
  return (
    <group position={[0, y, 0]}>
      <mesh geometry={geometry} renderOrder={1}>
        <meshBasicMaterial color={colour} transparent opacity={0.1} side={DoubleSide} depthWrite={false} />
      </mesh>
      <Line points={corners} color={colour} width={1} opacity={0.6} closed />
    </group>
  );
}

/** Corners of a pane round the piece in x and z, at y = 0. */
function paneOf(mesh: DisplayMesh): Float32Array {
  const x = BEYOND * Math.max(mesh.high[0], -mesh.low[0]);
  const [low, high] = [BEYOND * mesh.low[2], BEYOND * mesh.high[2]];
  return Float32Array.from([-x, 0, low, x, 0, low, x, 0, high, -x, 0, high]);
}
