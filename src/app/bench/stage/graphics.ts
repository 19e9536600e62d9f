let known: boolean | undefined;

/**
 * Whether the browser draws three-dimensional graphics (WebGL 2): remote desktops, old graphics cards and strict settings
 * do without. Asked once, because every context that is begun costs the page some time.
 */
export function hasGraphics(): boolean {
  if (known === undefined) {
    const context = document.createElement('canvas').getContext('webgl2');
    known = context !== null;
    // Browsers grant a page a few contexts only.
    context?.getExtension('WEBGL_lose_context')?.loseContext();
  }
  return known;
}
