import { decodeInBrowser } from '../../src/intake/photoBrowser.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';

/** Size and pixels of a photograph as the browser's decoder gives them: in a page it is to be found as `photoPixels`. */
async function photoPixels(bytes: Uint8Array): Promise<{ width: number; height: number; rgba: number[] }> {
  const { width, height, rgba } = await readPhoto(bytes, decodeInBrowser);
  return { width, height, rgba: [...rgba] };
}

Object.assign(globalThis, { photoPixels });
