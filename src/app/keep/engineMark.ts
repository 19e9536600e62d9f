import { ENGINE } from '../../record/engine.ts';

/** Set by the build: a hash of everything that measures. */
declare const __SOURCE__: string | undefined;

/** Tells one engine from another, as exactly as the build can. While it is being worked on, no two page loads have the same. */
export const ENGINE_MARK =
  import.meta.env?.PROD && typeof __SOURCE__ === 'string'
    ? `${ENGINE.version} ${ENGINE.commit} ${__SOURCE__}`
    : crypto.randomUUID();
