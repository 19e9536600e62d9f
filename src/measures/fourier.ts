import { fourierCurve, normalizeFourier } from '../geometry/ellipticFourier.ts';
import { nearestOnRing } from '../geometry/polygonDistance.ts';
import { outlineComponents } from './outlineError.ts';
import { HARMONICS } from './shared.ts';
import type { Family } from './types.ts';

/** Places on the curve that are compared with the outline. */
const CHECKED = 240;

export const fourier: Family = {
  id: 'fourier',
  title: 'Elliptic Fourier',
  rows: [
    {
      id: 'fourier.error',
      name: 'Fourier reconstruction error',
      unit: 'mm',
      definition: `Root mean square distance from the outline of the curve that ${HARMONICS} elliptic Fourier harmonics give back. The coefficients themselves are the series “fourier”: free of place, size, turn and start, the end of the first harmonic’s major axis that lies nearer to the tip on +x.`,
      source: 'Kuhl & Giardina 1982',
      needs: 'outline',
      axis: false,
      power: 1,
    },
    {
      id: 'fourier.error.max',
      name: 'Greatest Fourier reconstruction error',
      unit: 'mm',
      definition: `Greatest distance from the outline of the curve that ${HARMONICS} elliptic Fourier harmonics give back.`,
      source: 'Kuhl & Giardina 1982',
      needs: 'outline',
      axis: false,
      power: 1,
    },
  ],
  compute(model, _settings, { fourier: raw }) {
    const ring = model.outline.outer;
    const { a, b, c, d } = normalizeFourier(raw, 0, 1);
    const curve = fourierCurve(raw, CHECKED);
    const nearest = nearestOnRing(ring);
    let squares = 0;
    let worst = 0;
    for (let i = 0; i < curve.length; i += 2) {
      const { squared } = nearest(curve[i], curve[i + 1]);
      squares += squared;
      worst = Math.max(worst, squared);
    }
    const harmonic = Float64Array.from({ length: HARMONICS }, (_, i) => i + 1);
    return {
      values: {
        'fourier.error': {
          value: Math.sqrt(squares / CHECKED),
          components: outlineComponents(model.quality, 0.5),
        },
        'fourier.error.max': { value: Math.sqrt(worst), components: outlineComponents(model.quality, 1) },
      },
      series: { fourier: { harmonic, a, b, c, d } },
    };
  },
};
