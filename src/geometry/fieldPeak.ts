import type { Calmed, CalmField } from './calmField.ts';
import { type CreaseTop, cleanCreaseTops, creaseTop } from './creaseTop.ts';
import { CONFIDENCE } from './fieldEstimate.ts';
import { FieldTops } from './fieldTops.ts';

export interface Peak extends Calmed {
  readonly column: number;
  readonly row: number;
  /** How far its height is that of a crease, 0 to 1. */
  readonly creased: number;
}

/** Radius of the moving mean, grains. */
const CALMING = 1.5;
/** Of clean samples no top is a crease that falls by less than this, in grains, over a grain to either side: facets cut off next to nothing. */
const LEAST_FALL = 0.06;
/** What of a clean crest facets cut off, and faces carried on put back, is known to this share of it (standard uncertainty, on generated pieces). */
const PUT_BACK = 1 / 3;

/** The greatest values of a field whose values are had without noise: the highest of many noisy samples is always too high. */
export class FieldPeaks {
  readonly field: CalmField;
  /** Radius of the moving mean under which tops are looked for, cells. */
  private readonly calming: number;
  private readonly tops: FieldTops;
  private readonly rowPeaks = new Map<number, Peak | undefined>();

  constructor(field: CalmField) {
    this.field = field;
    this.calming = field.sigma > 0 ? CALMING * field.perGrain : 0;
    this.tops = new FieldTops(field.grid, field.sigma, this.calming);
  }

  /** The greatest value within rows, both included; undefined where they hold none. Of a single row it is looked for once. */
  peak(fromRow = 0, toRow = this.field.grid.rows - 1): Peak | undefined {
    const from = Math.max(0, fromRow);
    const to = Math.min(this.field.grid.rows - 1, toRow);
    if (from !== to) return this.greatest(from, to);
    if (!this.rowPeaks.has(from)) this.rowPeaks.set(from, this.greatest(from, to));
    return this.rowPeaks.get(from);
  }

  private greatest(from: number, to: number): Peak | undefined {
    const { columns } = this.field.grid;
    let best: Peak | undefined;
    for (const { k, value } of this.tops.highest(from, to)) {
      // The mean takes height off crests, where the sample itself tells more.
      const likely = Math.max(value, this.field.grid.values[k]);
      if (best !== undefined && likely + CONFIDENCE * this.field.sigma < best.value) continue;
      const column = k % columns;
      const row = (k - column) / columns;
      const calmed = this.field.at(column, row);
      if (calmed === undefined) continue;
      const top = this.crested(this.climb({ ...calmed, column, row, creased: 0 }, from, to), from === to);
      if (best === undefined || top.value > best.value) best = top;
    }
    return best;
  }

  /**
   * The best place near a top, which the moving mean shows only roughly: where a sharp one is surest to be high. A smooth
   * one is as high anywhere near its place.
   */
  private climb(top: Peak, fromRow: number, toRow: number): Peak {
    if (this.field.isSmoothAbout(top.column, top.row)) return top;
    const reach = Math.ceil(this.calming);
    let best = top;
    for (let step = Math.max(1, Math.round(this.calming / 3)); step >= 1; step >>= 1) {
      for (let next: Peak | undefined = best; next !== undefined; ) {
        best = next;
        next = undefined;
        // The best of all eight, so that a piece that is turned about is climbed the same way.
        for (let i = 0; i < 9; i++) {
          const column = best.column + step * ((i % 3) - 1);
          const row = best.row + step * (Math.floor(i / 3) - 1);
          if (row < fromRow || row > toRow) continue;
          if (Math.abs(column - top.column) > reach || Math.abs(row - top.row) > reach) continue;
          const calmed = this.field.at(column, row);
          const beaten = next ?? best;
          if (calmed !== undefined && calmed.value - calmed.error > beaten.value - beaten.error) {
            next = { ...calmed, column, row, creased: 0 };
          }
        }
      }
    }
    return best;
  }

  /** A top with the height of the crease that it is on, as far as it is sure that it is on one. */
  private crested(top: Peak, inRow: boolean): Peak {
    if (this.field.sigma === 0) return this.carriedOn(top, inRow);
    const crease = creaseTop(this.field.grid, top.column, top.row, inRow);
    // A crease stands above what smooth fits give; where it does not, something else is there.
    if (crease === undefined || crease.value <= top.value) return top;
    const gain = crease.value - top.value;
    const trust = trustIn(crease, gain);
    // A mean of two models: their variances, and that of not knowing which of them holds.
    const variance =
      trust * crease.error ** 2 + (1 - trust) * top.error ** 2 + trust * (1 - trust) * gain ** 2;
    return {
      ...top,
      value: top.value + trust * gain,
      error: Math.sqrt(variance),
      sag: (1 - trust) * top.sag,
      creased: trust,
    };
  }

  /**
   * A top of clean samples with what facets cut off it put back, where it is on a crease: the mean of what two windows say,
   * which differ by how large the facets are that they think of.
   */
  private carriedOn(top: Peak, inRow: boolean): Peak {
    const { grain } = this.field.grid;
    if (this.field.bend(top.column, top.row, grain) < LEAST_FALL * grain) return top;
    let [gains, squares, trusts, variance] = [0, 0, 0, 0];
    const creases = cleanCreaseTops(this.field.grid, top.column, top.row, inRow);
    for (const crease of creases) {
      if (crease === undefined || crease.value <= top.value) continue;
      const gain = Math.min(crease.value - top.value, crease.fall);
      const trust = trustIn(crease, gain);
      gains += trust * gain;
      squares += (trust * gain) ** 2;
      trusts += trust;
      variance += trust * crease.error ** 2 + trust * (1 - trust) * gain ** 2;
    }
    if (gains === 0) return top;
    const gain = gains / creases.length;
    const apart = squares / creases.length - gain ** 2;
    return {
      ...top,
      value: top.value + gain,
      error: Math.sqrt(variance / creases.length + apart + (PUT_BACK * gain) ** 2),
      creased: trusts / creases.length,
    };
  }
}

/** How sure a crease is to be one, and to stand above what smooth fits give. */
function trustIn({ trust, error }: CreaseTop, gain: number): number {
  return trust * Math.max(0, 1 - (error / gain) ** 2);
}
