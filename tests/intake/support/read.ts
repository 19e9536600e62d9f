import { expect } from 'vitest';
import { validateMesh } from '../../../src/geometry/meshValidate.ts';
import { readScan } from '../../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../../src/intake/settings.ts';
import { IntakeError, type Scan, type ScanSettings } from '../../../src/intake/types.ts';

/** Reads a scan and holds it to every invariant. */
export function readSound(bytes: Uint8Array, settings: Partial<ScanSettings> = {}): Scan {
  const scan = readScan(bytes, { ...DEFAULT_SCAN_SETTINGS, ...settings });
  expectSound(scan);
  return scan;
}

export function expectSound(scan: Scan): void {
  expect(validateMesh(scan.mesh, scan.twins, { closed: scan.closed, outward: scan.closed })).toEqual([]);
  expect(scan.repair.holesLeft === 0).toBe(scan.closed);
}

/** What the reader refuses the bytes with; fails if it does not. */
export function refusal(bytes: Uint8Array): IntakeError {
  try {
    readScan(bytes, DEFAULT_SCAN_SETTINGS);
  } catch (error) {
    if (error instanceof IntakeError) return error;
    throw error;
  }
  throw new Error('the file was accepted');
}

export function text(content: string): Uint8Array {
  return new TextEncoder().encode(content);
}

export function codes(scan: Scan): string[] {
  return scan.warnings.map(({ code }) => code);
}
