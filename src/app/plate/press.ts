import { type Remote, wrap } from 'comlink';
import type { PlateApi } from '../../../workers/plateMessages.ts';

let press: Remote<PlateApi> | undefined;

/** The worker that draws plates, started when the first one is asked for. */
export function startPress(): Remote<PlateApi> {
  press ??= wrap<PlateApi>(
    new Worker(new URL('../../../workers/plate.browser.ts', import.meta.url), {
      type: 'module',
      name: 'plate',
    }),
  );
  return press;
}
