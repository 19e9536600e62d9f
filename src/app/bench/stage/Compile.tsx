import { useThree } from '@react-three/fiber';
import { useEffect } from 'react';

/** A driver that never says that it is done is not waited for longer, ms. */
const PATIENCE = 4000;

interface CompileProps {
  readonly compiled: boolean;
  readonly onCompiled: () => void;
}

/** Has the driver compile what the scene is drawn with beside the page's own work, before the first frame asks for it. */
export function Compile({ compiled, onCompiled }: CompileProps) {
  const { gl, scene, camera, invalidate } = useThree();
  useEffect(() => {
    if (compiled) {
      invalidate();
      return;
    }
    const timer = setTimeout(onCompiled, PATIENCE);
    void gl
      .compileAsync(scene, camera)
      .catch(() => undefined)
      .then(onCompiled);
    return () => clearTimeout(timer);
  }, [compiled, onCompiled, gl, scene, camera, invalidate]);
  return null;
}
