/**
 * What a host must send with the page, as a Content-Security-Policy header. The build writes the page's own into
 * index.html as well, so that it holds on a host that sends none.
 */
const SHARED = "default-src 'none'; base-uri 'none'; form-action 'none'";
const OWN = `${SHARED}; connect-src 'self'`;

/** The page: own scripts, styles, fonts and pictures; pictures made in memory; no other origin. */
export const PAGE_POLICY = `${OWN}; script-src 'self'; style-src 'self'; img-src 'self' blob:; font-src 'self'; worker-src 'self'; manifest-src 'self'`;

/** The worker thins large meshes for display by WebAssembly, which needs a word of its own. */
export const WORKER_POLICY = `${OWN}; script-src 'self' 'wasm-unsafe-eval'`;

/**
 * The worker for photographs: OpenCV makes functions from text as it starts, and carries its WebAssembly in an address
 * that is data. Neither is allowed anywhere else.
 */
export const PHOTO_POLICY = `${SHARED}; connect-src 'self' data:; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'`;

/** `frame-ancestors` is heeded in headers only. */
export function policyFor(path: string): string {
  if (/\/photo\.browser-[^/]*\.js$/.test(path)) return PHOTO_POLICY;
  return /\/engine\.browser-[^/]*\.js$/.test(path) ? WORKER_POLICY : `${PAGE_POLICY}; frame-ancestors 'none'`;
}
