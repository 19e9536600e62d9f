import { useThree } from '@react-three/fiber';
import { useEffect, useMemo } from 'react';
import { BufferAttribute, BufferGeometry, Sphere, Vector3 } from 'three';
import type { Drawn, TracedPiece } from '../../../../workers/messages.ts';
import { paintSurface } from './paint.ts';
import type { Shade } from './shades.ts';

interface SurfaceProps {
  readonly traced: TracedPiece;
  readonly drawn: Drawn | undefined;
  readonly shade: Shade;
}

/** The stone itself. Every array comes ready from the worker. */
export function Surface({ traced, drawn, shade }: SurfaceProps) {
  const invalidate = useThree((state) => state.invalidate);
  const geometry = useMemo(() => {
    const { mesh, length } = traced;
    const made = new BufferGeometry();
    made.setAttribute('position', new BufferAttribute(mesh.positions, 3));
    made.setAttribute('normal', new BufferAttribute(mesh.normals, 3));
    made.setIndex(new BufferAttribute(mesh.triangles, 1));
    made.boundingSphere = new Sphere(new Vector3(0, length / 2, 0), length);
    return made;
  }, [traced]);
  useEffect(() => {
    const count = traced.mesh.positions.length / 3;
    // Values that belong to an earlier mesh say nothing of this one.
    const fitting = drawn?.glow.length === count ? drawn : undefined;
    geometry.setAttribute('color', new BufferAttribute(paintSurface(count, fitting, shade), 4, true));
    invalidate();
  }, [geometry, traced, drawn, shade, invalidate]);
  useEffect(() => () => geometry.dispose(), [geometry]);
  return (
    <mesh geometry={geometry}>
      <meshStandardMaterial
        vertexColors
        roughness={0.82}
        metalness={0}
        polygonOffset
        polygonOffsetFactor={1}
        polygonOffsetUnits={2}
      />
    </mesh>
  );
}
