import type { Page } from 'playwright-core';

/** How many different colours a PNG has. Decoded by the browser itself. */
export async function coloursIn(page: Page, png: Buffer): Promise<number> {
  return page.evaluate(
    async (bytes) => {
      const bitmap = await createImageBitmap(new Blob([Uint8Array.from(bytes)], { type: 'image/png' }));
      const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
      const context = canvas.getContext('2d');
      if (context === null) throw new Error('no 2D canvas');
      context.drawImage(bitmap, 0, 0);
      const { data } = context.getImageData(0, 0, bitmap.width, bitmap.height);
      return new Set(new Uint32Array(data.buffer)).size;
    },
    [...png],
  );
}
