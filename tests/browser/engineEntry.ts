import { measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { OUTPUT_KINDS } from '../../workers/outputKinds.ts';
import { type Output, outputsOf } from '../../workers/outputs.ts';

/** Everything that is written of a scan, wherever this runs: in a page it is to be found as `measureText`. */
export async function measureText(
  bytes: Uint8Array,
  name: string,
  thin?: number,
): Promise<readonly Output[]> {
  const scan = { ...DEFAULT_SETTINGS.scan, ...(thin === undefined ? {} : { thin }) };
  return outputsOf(await measureScan(bytes, name, { ...DEFAULT_SETTINGS, scan }), OUTPUT_KINDS);
}

Object.assign(globalThis, { measureText });
