import { version } from '../../package.json';
import type { Engine } from './schema.ts';

/** Set by the build; absent where the source runs unbuilt. */
declare const __COMMIT__: string | undefined;

export const ENGINE: Engine = {
  name: 'knapgauge',
  version,
  commit: typeof __COMMIT__ === 'string' ? __COMMIT__ : 'unknown',
};
