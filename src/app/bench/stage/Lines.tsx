import { useThree } from '@react-three/fiber';
import { useEffect, useMemo } from 'react';
import { GreaterDepth } from 'three';
import { Line2 } from 'three/examples/jsm/lines/Line2.js';
import { LineGeometry } from 'three/examples/jsm/lines/LineGeometry.js';
import { LineMaterial } from 'three/examples/jsm/lines/LineMaterial.js';

interface LineProps {
  /** 3 × n, mm. */
  readonly points: Float32Array;
  readonly color: string;
  /** px. */
  readonly width: number;
  readonly closed?: boolean;
  readonly opacity?: number;
  /** Where stone stands before it, the line is drawn faintly, as a draughtsman draws a hidden edge. */
  readonly hidden?: boolean;
  /** Drawn over everything, stone or not. */
  readonly onTop?: boolean;
}

/** A line on the piece, as wide on every screen. */
export function Line({
  points,
  color,
  width,
  closed = false,
  opacity = 1,
  hidden = false,
  onTop = false,
}: LineProps) {
  const invalidate = useThree((state) => state.invalidate);
  const geometry = useMemo(() => {
    const made = new LineGeometry();
    made.setPositions(closed ? closeRing(points) : points);
    return made;
  }, [points, closed]);
  const line = useMemo(() => {
    const material = new LineMaterial({ color, linewidth: width, transparent: opacity < 1, opacity });
    material.depthTest = !onTop;
    const made = new Line2(geometry, material);
    made.renderOrder = onTop ? 2 : 0;
    return made;
  }, [geometry, color, width, opacity, onTop]);
  const behind = useMemo(() => {
    if (!hidden) return null;
    const material = new LineMaterial({ color, linewidth: width * 0.7, transparent: true, opacity: 0.22 });
    material.depthFunc = GreaterDepth;
    material.depthWrite = false;
    return new Line2(geometry, material);
  }, [geometry, color, width, hidden]);
  useEffect(() => {
    invalidate();
    return () => {
      // What was drawn must be drawn away.
      invalidate();
      line.material.dispose();
      behind?.material.dispose();
    };
  }, [line, behind, invalidate]);
  useEffect(() => () => geometry.dispose(), [geometry]);
  return (
    <>
      {behind && <primitive object={behind} />}
      <primitive object={line} />
    </>
  );
}

function closeRing(points: Float32Array): Float32Array {
  const out = new Float32Array(points.length + 3);
  out.set(points);
  out.set(points.subarray(0, 3), points.length);
  return out;
}
