import type { KeyboardEvent, PointerEvent } from 'react';
import type { Lamp } from './Rig.tsx';

const RADIUS = 22;
const LOWEST = 8;

/** A small sky: the dot is the lamp. Dragged to the rim, it rakes; in the middle, it shines from straight ahead. */
export function LampDial({ lamp, onMove }: { lamp: Lamp; onMove: (lamp: Lamp) => void }) {
  const angle = (lamp.azimuth * Math.PI) / 180;
  const reach = (RADIUS * (90 - lamp.elevation)) / 90;
  const drag = (event: PointerEvent<HTMLElement>): void => {
    if (event.buttons === 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    const box = event.currentTarget.getBoundingClientRect();
    const x = event.clientX - (box.left + box.width / 2);
    const y = box.top + box.height / 2 - event.clientY;
    const share = Math.min(1, Math.hypot(x, y) / RADIUS);
    onMove(clamp({ azimuth: (Math.atan2(y, x) * 180) / Math.PI, elevation: 90 * (1 - share) }));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const { azimuth, elevation } = lamp;
    if (event.key === 'ArrowLeft') onMove(clamp({ azimuth: azimuth + 10, elevation }));
    else if (event.key === 'ArrowRight') onMove(clamp({ azimuth: azimuth - 10, elevation }));
    else if (event.key === 'ArrowUp') onMove(clamp({ azimuth, elevation: elevation + 5 }));
    else if (event.key === 'ArrowDown') onMove(clamp({ azimuth, elevation: elevation - 5 }));
    else return;
    event.preventDefault();
  };
  return (
    <div
      className="lamp"
      role="slider"
      tabIndex={0}
      aria-label="Lamp: left and right move it round, up and down raise and lower it"
      aria-valuemin={0}
      aria-valuemax={359}
      aria-valuenow={Math.round(lamp.azimuth)}
      aria-valuetext={`from ${Math.round(lamp.azimuth)} degrees, ${Math.round(lamp.elevation)} degrees high`}
      title="Drag the lamp"
      onPointerDown={drag}
      onPointerMove={drag}
      onKeyDown={onKeyDown}
    >
      <svg width={2 * RADIUS + 8} height={2 * RADIUS + 8} viewBox="-26 -26 52 52" aria-hidden="true">
        <circle className="lamp-sky" r={RADIUS} />
        <circle className="lamp-dot" cx={reach * Math.cos(angle)} cy={-reach * Math.sin(angle)} r={5} />
      </svg>
    </div>
  );
}

function clamp({ azimuth, elevation }: Lamp): Lamp {
  return {
    azimuth: ((azimuth % 360) + 360) % 360,
    elevation: Math.min(90, Math.max(LOWEST, elevation)),
  };
}
