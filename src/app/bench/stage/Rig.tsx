import { useFrame, useThree } from '@react-three/fiber';
import { type RefObject, useEffect, useImperativeHandle, useMemo, useRef } from 'react';
import { type DirectionalLight, type OrthographicCamera, Spherical, Vector3 } from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { type Extent, EYES, seenExtent, toEye, type ViewName } from './views.ts';

/** What the stage may ask of the camera. */
export interface RigHandle {
  /** Turns to a view and fits it; at once where motion is not wanted. */
  show(view: ViewName): void;
  /** Turns by radians about the length axis and over it. */
  turn(about: number, over: number): void;
  zoom(factor: number): void;
}

/** Direction of the lamp in the camera's own axes: upper left, low enough to rake. A convention of lithic drawing. */
export interface Lamp {
  /** Degrees counter-clockwise from the right; 135 is the upper left. */
  readonly azimuth: number;
  /** Degrees above the picture plane. */
  readonly elevation: number;
}

interface RigProps {
  readonly handle: RefObject<RigHandle | null>;
  readonly extent: Extent;
  readonly lamp: Lamp;
  /** Told px per mm whenever it changes. */
  readonly onScale: (scale: number) => void;
  readonly onTurned: () => void;
}

const TURN_MS = 320;
/** Room that a fitted view leaves for bar and lamp, px. */
const ROOM = 60;

interface Motion {
  readonly from: Spherical;
  readonly to: Spherical;
  readonly zoomFrom: number;
  readonly zoomTo: number;
  readonly start: number;
}

/** Camera, its controls and the lamp that goes with the viewer. Draws a frame only when something moved. */
export function Rig({ handle, extent, lamp, onScale, onTurned }: RigProps) {
  const camera = useThree((state) => state.camera) as OrthographicCamera;
  const canvas = useThree((state) => state.gl.domElement);
  const size = useThree((state) => state.size);
  const invalidate = useThree((state) => state.invalidate);
  const light = useRef<DirectionalLight>(null);
  const motion = useRef<Motion | null>(null);
  const view = useRef<ViewName | null>('A');
  const { x, y, z } = extent;

  const controls = useMemo(() => {
    const made = new OrbitControls(camera, canvas);
    made.enableDamping = false;
    made.minZoom = 0.5;
    made.maxZoom = 200;
    return made;
  }, [camera, canvas]);

  useEffect(() => {
    const changed = (): void => {
      onScale(camera.zoom);
      invalidate();
    };
    const started = (): void => {
      view.current = null;
      onTurned();
    };
    controls.addEventListener('change', changed);
    controls.addEventListener('start', started);
    return () => {
      controls.removeEventListener('change', changed);
      controls.removeEventListener('start', started);
      controls.dispose();
    };
  }, [controls, camera, invalidate, onScale, onTurned]);

  const zoomFor = (name: ViewName): number => {
    const [across, up] = seenExtent(name, { x, y, z });
    return Math.max(0.2, Math.min((size.width - ROOM) / across, (size.height - ROOM) / up));
  };

  const place = (eye: Spherical, zoom: number): void => {
    camera.position.setFromSpherical(eye);
    camera.zoom = zoom;
    camera.updateProjectionMatrix();
    controls.target.set(0, 0, 0);
    controls.update();
    onScale(zoom);
    invalidate();
  };

  const sphericalOf = (name: ViewName): Spherical =>
    new Spherical().setFromVector3(new Vector3(...toEye(EYES[name])).multiplyScalar(4 * y));

  // biome-ignore lint/correctness/useExhaustiveDependencies: a new piece or a new size of the canvas fits the view anew
  useEffect(() => {
    camera.near = 0.1;
    camera.far = 9 * y;
    motion.current = null;
    if (view.current !== null) place(sphericalOf(view.current), zoomFor(view.current));
    else invalidate();
  }, [x, y, z, size.width, size.height]);

  useImperativeHandle(handle, () => ({
    show(name) {
      view.current = name;
      const to = sphericalOf(name);
      const zoomTo = zoomFor(name);
      if (window.matchMedia('(prefers-reduced-motion: reduce)').matches) return place(to, zoomTo);
      const from = new Spherical().setFromVector3(camera.position);
      // The shorter way round.
      to.theta = from.theta + Math.atan2(Math.sin(to.theta - from.theta), Math.cos(to.theta - from.theta));
      motion.current = { from, to, zoomFrom: camera.zoom, zoomTo, start: performance.now() };
      invalidate();
    },
    turn(about, over) {
      view.current = null;
      const eye = new Spherical().setFromVector3(camera.position);
      eye.theta += about;
      eye.phi += over;
      place(eye.makeSafe(), camera.zoom);
      onTurned();
    },
    zoom: (factor) => place(new Spherical().setFromVector3(camera.position), camera.zoom * factor),
  }));

  useFrame(() => {
    const going = motion.current;
    if (going !== null) {
      const t = Math.min(1, (performance.now() - going.start) / TURN_MS);
      const eased = t * t * (3 - 2 * t);
      const mix = (a: number, b: number): number => a + (b - a) * eased;
      const eye = new Spherical(
        going.to.radius,
        mix(going.from.phi, going.to.phi),
        mix(going.from.theta, going.to.theta),
      );
      if (t === 1) motion.current = null;
      place(eye, mix(going.zoomFrom, going.zoomTo));
    }
    light.current?.position
      .set(...lampDirection(lamp))
      .multiplyScalar(4 * y)
      .applyQuaternion(camera.quaternion);
  });

  useEffect(() => {
    if (lamp) invalidate();
  }, [lamp, invalidate]);

  return (
    <>
      <ambientLight intensity={0.55} />
      <directionalLight ref={light} intensity={2.7} />
    </>
  );
}

function lampDirection({ azimuth, elevation }: Lamp): [number, number, number] {
  const a = (azimuth * Math.PI) / 180;
  const e = (elevation * Math.PI) / 180;
  return [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)];
}
