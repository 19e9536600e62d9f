import { describe, expect, test, vi } from 'vitest';
import { measureScan } from '../../src/record/measureScan.ts';
import { type AllSettings, DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import * as tracing from '../../src/trace/traceScan.ts';
import { Walk } from '../../workers/walk.ts';
import { humpedPiece, toPly } from '../browser/scans.ts';

vi.mock(import('../../src/trace/traceScan.ts'), { spy: true });

const bytes = Uint8Array.from(toPly(humpedPiece(12_000)));

async function walkOn(walk: Walk, settings: AllSettings) {
  const scan = await walk.read(settings, {});
  const model = walk.trace(scan, settings, {});
  return walk.record(scan, model, walk.measure(model, settings, {}), settings);
}

describe('the walk stage by stage', () => {
  const walk = new Walk(new Blob([bytes]), 'folder/piece.ply');

  test('makes the record that measureScan makes', async () => {
    const { record } = await measureScan(bytes, 'folder/piece.ply', DEFAULT_SETTINGS);
    expect(await walkOn(walk, DEFAULT_SETTINGS)).toEqual(record);
  });

  test('does again only what depends on a changed setting, and does it as if from the start', async () => {
    const traced = vi.mocked(tracing.traceScan);
    const thresholds: AllSettings = {
      ...DEFAULT_SETTINGS,
      measure: { ...DEFAULT_SETTINGS.measure, humpProminence: 1.5 },
    };
    traced.mockClear();
    const record = await walkOn(walk, thresholds);
    expect(traced).not.toHaveBeenCalled();
    expect(record.settings.measure.humpProminence).toBe(1.5);

    const turned: AllSettings = { ...DEFAULT_SETTINGS, trace: { ...DEFAULT_SETTINGS.trace, flipTip: true } };
    const again = await walkOn(walk, turned);
    expect(traced).toHaveBeenCalledOnce();
    expect(again).toEqual((await measureScan(bytes, 'folder/piece.ply', turned)).record);
  });

  test('stops at a cancel', async () => {
    const abort = new AbortController();
    abort.abort();
    const fresh = new Walk(new Blob([bytes]), 'piece.ply');
    await expect(fresh.read(DEFAULT_SETTINGS, { signal: abort.signal })).rejects.toThrow(/abort/i);
  });
});
