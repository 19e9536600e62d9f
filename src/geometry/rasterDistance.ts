/**
 * Distance from each cell to the nearest cell of a mask, centre to centre, in cells; 0 in the mask, over a million where it
 * is empty.
 *
 * Exact squared distances, first along columns, where the nearest is the last one passed or the next, then along rows by lower
 * envelopes of parabolas: O(cells) (Felzenszwalb & Huttenlocher 2012).
 */
export function distanceTo(mask: Uint8Array, columns: number): Float32Array {
  const rows = mask.length / columns;
  const squared = squaredAlongColumns(mask, columns);
  const row = createEnvelope(columns);
  const out = new Float32Array(mask.length);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) row.line[c] = squared[r * columns + c];
    sweep(row);
    for (let c = 0; c < columns; c++) out[r * columns + c] = Math.sqrt(row.line[c]);
  }
  return out;
}

/** Squared distance from each cell to the nearest cell of a mask in its column; FAR where there is none. */
function squaredAlongColumns(mask: Uint8Array, columns: number): Float64Array {
  const squared = new Float64Array(mask.length);
  // Rows from the last cell of the mask down each column, and up again.
  const steps = new Float64Array(columns).fill(Infinity);
  for (let i = 0, c = 0; i < mask.length; i++) {
    steps[c] = mask[i] === 0 ? steps[c] + 1 : 0;
    squared[i] = Math.min(FAR, steps[c] * steps[c]);
    if (++c === columns) c = 0;
  }
  steps.fill(Infinity);
  for (let i = mask.length - 1, c = columns - 1; i >= 0; i--) {
    steps[c] = mask[i] === 0 ? steps[c] + 1 : 0;
    squared[i] = Math.min(squared[i], steps[c] * steps[c]);
    if (--c < 0) c = columns - 1;
  }
  return squared;
}

/** 1 at cells farther than `reach` from a mask, centre to centre, in cells. */
export function fartherThan(reach: number, mask: Uint8Array, columns: number): Uint8Array {
  const away = distanceTo(mask, columns);
  const out = new Uint8Array(away.length);
  for (let i = 0; i < out.length; i++) if (away[i] > reach) out[i] = 1;
  return out;
}

/**
 * Distance from each cell of a mask to the mask's edge, in cells; 0 outside. What lies beyond the grid is outside. The
 * edge runs half-way between an inside and an outside centre.
 */
export function distanceInside(mask: Uint8Array, columns: number): Float32Array {
  const rows = mask.length / columns;
  const wide = columns + 2;
  const outside = new Uint8Array(wide * (rows + 2)).fill(1);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) if (mask[r * columns + c]) outside[(r + 1) * wide + c + 1] = 0;
  }
  const away = distanceTo(outside, wide);
  const out = new Float32Array(mask.length);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) out[r * columns + c] = Math.max(0, away[(r + 1) * wide + c + 1] - 0.5);
  }
  return out;
}

/** Farther than any distance in a grid, squared. */
const FAR = 1e12;

/** Room for a line of values and the lower envelope of the parabolas over them. */
interface Envelope {
  readonly line: Float64Array;
  readonly source: Float64Array;
  /** Places of the parabolas, and where each takes over from the one before. */
  readonly place: Int32Array;
  readonly from: Float64Array;
}

function createEnvelope(size: number): Envelope {
  return {
    line: new Float64Array(size),
    source: new Float64Array(size),
    place: new Int32Array(size),
    from: new Float64Array(size + 1),
  };
}

/** Replaces each value of the line by the least over all places q of (p − q)² + value(q). */
function sweep({ line, source, place, from }: Envelope): void {
  const size = line.length;
  source.set(line);
  let k = 0;
  place[0] = 0;
  from[0] = -Infinity;
  from[1] = Infinity;
  for (let q = 1; q < size; q++) {
    const height = source[q] + q * q;
    let meet = (height - source[place[k]] - place[k] * place[k]) / (2 * (q - place[k]));
    while (meet <= from[k]) {
      k--;
      meet = (height - source[place[k]] - place[k] * place[k]) / (2 * (q - place[k]));
    }
    k++;
    place[k] = q;
    from[k] = meet;
    from[k + 1] = Infinity;
  }
  k = 0;
  for (let p = 0; p < size; p++) {
    while (from[k + 1] < p) k++;
    line[p] = (p - place[k]) * (p - place[k]) + source[place[k]];
  }
}
