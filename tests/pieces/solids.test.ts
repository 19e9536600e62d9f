import { describe, expect, test } from 'vitest';
import { meshProperties } from './meshProperties.ts';
import { ellipsoid, hippedBar, lensBar, lensDisc, prism, ring, tablet, wedgeBar } from './solids.ts';

const RAD = Math.PI / 180;

describe('solids with closed forms are closed, outward, and have their volumes', () => {
  const lensArea = (width: number, h: number) => {
    const radius = (width * width) / (8 * h) + h / 2;
    const phi = 4 * Math.atan((2 * h) / width);
    return radius * radius * (phi - Math.sin(phi));
  };
  const L = Float64Array.from([0, 0, 30, 0, 30, 10, 12, 10, 12, 40, 0, 40]);
  const cases = [
    [
      'wedge bar',
      wedgeBar({ length: 80, width: 30, angle: 40, triangles: 20_000 }),
      (80 * 900 * Math.tan(20 * RAD)) / 2,
      2,
    ],
    [
      'hipped bar',
      hippedBar({ length: 80, width: 30, angle: 40, triangles: 20_000 }),
      (900 * Math.tan(20 * RAD) * 210) / 6,
      2,
    ],
    ['lens bar', lensBar({ length: 80, width: 30, sagitta: 5, triangles: 20_000 }), 80 * lensArea(30, 5), 2],
    [
      'round lens',
      lensDisc({ diameter: 60, sagitta: 6, triangles: 20_000 }),
      (Math.PI * 6 * (2700 + 36)) / 3,
      2,
    ],
    ['tablet', tablet({ length: 80, width: 30, thickness: 9, triangles: 20_000 }), 80 * 30 * 9, 2],
    ['prism', prism({ polygon: L, thickness: 7, triangles: 20_000 }), 660 * 7, 2],
    ['ellipsoid', ellipsoid({ a: 20, b: 45, c: 8, triangles: 20_000 }), (4 / 3) * Math.PI * 20 * 45 * 8, 2],
    [
      'ring',
      ring({ outer: 40, inner: 15, sagitta: 4, triangles: 20_000 }),
      2 * Math.PI * 27.5 * lensArea(25, 4),
      0,
    ],
  ] as const;
  test.each(cases)('%s', (_, mesh, volume, euler) => {
    const found = meshProperties(mesh);
    expect(found.closed).toBe(true);
    expect(found.eulerCharacteristic).toBe(euler);
    expect(Math.abs(found.volume / volume - 1)).toBeLessThan(2e-3);
    // The faces get what was asked; walls come on top.
    expect(mesh.triangles.length / 3 / 20_000).toBeGreaterThan(0.65);
    expect(mesh.triangles.length / 3 / 20_000).toBeLessThan(2);
  });
});
