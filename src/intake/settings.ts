import type { ScanSettings } from './types.ts';

export const DEFAULT_SCAN_SETTINGS: ScanSettings = { holeLimit: 0.1 };
