import { useThree } from '@react-three/fiber';
import { useEffect } from 'react';
import { Vector3 } from 'three';
import type { Drawn } from '../../../../workers/messages.ts';
import { useWorkbench } from '../../workbench.ts';
import { stationUnder } from './stationUnder.ts';

/** Further than this a press is a turn, px. */
const SLOP = 4;

interface StationPointerProps {
  readonly cuts: Drawn['cuts'];
  readonly length: number;
}

/**
 * Inside the scene: the stone under the pointer, or under a tap, is the place that all views point at. Looked for once a
 * frame at most, and not while the piece is being turned.
 */
export function StationPointer({ cuts, length }: StationPointerProps) {
  const { bench } = useWorkbench();
  const canvas = useThree((state) => state.gl.domElement);
  const camera = useThree((state) => state.camera);
  const size = useThree((state) => state.size);
  useEffect(() => {
    let frame = 0;
    let pressed: readonly [number, number] | null = null;
    const point = (x: number, y: number): void => {
      // The piece lies with its middle in the origin.
      const at = (depth: number): Vector3 =>
        new Vector3((2 * x) / size.width - 1, 1 - (2 * y) / size.height, depth).unproject(camera);
      const from = at(-1);
      const direction = at(1).sub(from);
      const station = stationUnder(cuts, length, {
        from: [from.x, from.y + length / 2, from.z],
        direction: [direction.x, direction.y, direction.z],
      });
      if (station !== null && station !== bench.getState().station) bench.pointAt(station);
    };
    const onMove = ({ buttons, offsetX, offsetY }: PointerEvent): void => {
      cancelAnimationFrame(frame);
      if (buttons === 0) frame = requestAnimationFrame(() => point(offsetX, offsetY));
    };
    const onDown = ({ offsetX, offsetY }: PointerEvent): void => {
      pressed = [offsetX, offsetY];
    };
    const onUp = ({ offsetX, offsetY }: PointerEvent): void => {
      const isTap = pressed !== null && Math.hypot(offsetX - pressed[0], offsetY - pressed[1]) <= SLOP;
      if (isTap) point(offsetX, offsetY);
      pressed = null;
    };
    canvas.addEventListener('pointermove', onMove);
    canvas.addEventListener('pointerdown', onDown);
    canvas.addEventListener('pointerup', onUp);
    return () => {
      cancelAnimationFrame(frame);
      canvas.removeEventListener('pointermove', onMove);
      canvas.removeEventListener('pointerdown', onDown);
      canvas.removeEventListener('pointerup', onUp);
    };
  }, [bench, canvas, camera, size, cuts, length]);
  return null;
}
