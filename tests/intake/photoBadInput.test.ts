import { readFileSync } from 'node:fs';
import sharp, { type Sharp } from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { decodeTiff } from '../../src/intake/photoTiffDecode.ts';
import type { PhotoDecoder } from '../../src/intake/photoTypes.ts';
import { IntakeError } from '../../src/intake/types.ts';
import { createRandom } from '../pieces/random.ts';

const FORMATS = ['jpeg', 'png', 'webp', 'tiff'] as const;

function noisy(): Sharp {
  const random = createRandom(5);
  const raw = Uint8Array.from({ length: 3 * 64 * 48 }, () => 256 * random.next());
  return sharp(raw, { raw: { width: 64, height: 48, channels: 3 } });
}

async function refusal(bytes: Uint8Array): Promise<IntakeError> {
  const error = await readPhoto(bytes, decodeInNode).then(
    () => undefined,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(IntakeError);
  const { message } = error as IntakeError;
  expect(message).toMatch(/^[A-Z].*\.$/);
  expect(message.length).toBeLessThan(240);
  return error as IntakeError;
}

/** The decoder of TIFF that browsers use, as a decoder. */
const tiffForBrowsers: PhotoDecoder = async (bytes, header) => decodeTiff(bytes, header);

describe('files that are no photograph that can be read', () => {
  it('refuses an empty file and one of nonsense', async () => {
    expect((await refusal(new Uint8Array(0))).message).toBe('The file is empty.');
    expect((await refusal(Uint8Array.from({ length: 300 }, (_, i) => (i * 37) % 256))).code).toBe('foreign');
  });

  it('says what a mesh is, whatever its name', async () => {
    const scan = readFileSync(new URL('../../sample-scans/qt-41-1-early-preform.ply', import.meta.url));
    expect((await refusal(scan)).message).toMatch(/^The file is a PLY mesh, whatever its name says;/);
    const text = new TextEncoder().encode('%PDF-1.4 something');
    expect((await refusal(text)).message).toMatch(/^The file is a PDF document; JPEG/);
    expect((await refusal(new TextEncoder().encode('GIF89a'))).message).toMatch(/a GIF picture/);
  });

  it.each(FORMATS)('refuses %s cut off anywhere', async (format) => {
    const bytes = await noisy().toFormat(format).toBuffer();
    for (const share of [0.02, 0.1, 0.3, 0.6, 0.9, 0.99]) {
      await refusal(bytes.subarray(0, Math.max(16, Math.floor(share * bytes.length))));
    }
    // A TIFF's last byte may belong to no image.
    if (format !== 'tiff') await refusal(bytes.subarray(0, bytes.length - 1));
  });

  it('refuses the four inks of print', async () => {
    for (const format of ['jpeg', 'tiff'] as const) {
      const bytes = await noisy().toColourspace('cmyk').toFormat(format).toBuffer();
      expect((await refusal(bytes)).code, format).toBe('cmyk');
    }
  });

  it('refuses an enormous size from the header, before decoding', async () => {
    const bytes = await noisy().png().toBuffer();
    new DataView(bytes.buffer, bytes.byteOffset).setUint32(16, 60_000);
    new DataView(bytes.buffer, bytes.byteOffset).setUint32(20, 60_000);
    const decoder = (): never => {
      throw new Error('must not be called');
    };
    await expect(readPhoto(bytes, decoder)).rejects.toThrow(
      /^The picture says that it is 60000 × 60000 pixels; at/,
    );
  });

  it('refuses floating-point TIFF and BigTIFF with advice', async () => {
    const floating = await noisy().toColourspace('scrgb').raw({ depth: 'float' }).toBuffer();
    const raw = { width: 64, height: 48, channels: 3 } as const;
    const tiff = await sharp(new Float32Array(floating.buffer.slice(floating.byteOffset)), { raw })
      .toColourspace('scrgb')
      .tiff({ compression: 'none' })
      .toBuffer();
    expect((await refusal(tiff)).code).toBe('picture-kind');
    expect((await refusal(Uint8Array.from('II+\0\b\0\0\0', (c) => c.charCodeAt(0)))).code).toBe('big-tiff');
  });

  it.each(FORMATS)('%s with damaged bytes gives a picture or one sentence, seed 11', async (format) => {
    const bytes = await noisy().toFormat(format).toBuffer();
    const random = createRandom(11);
    for (let round = 0; round < 60; round++) {
      const damaged = Uint8Array.from(bytes);
      const hits = 1 + Math.floor(6 * random.next());
      for (let k = 0; k < hits; k++) {
        const within = round % 2 === 0 ? 120 : damaged.length;
        damaged[4 + Math.floor((within - 4) * random.next())] = 256 * random.next();
      }
      const limits = { pixels: 1e6, side: 5000, reducedPixels: 1e6 };
      for (const decoder of [decodeInNode, ...(format === 'tiff' ? [tiffForBrowsers] : [])]) {
        await readPhoto(damaged, decoder, limits).catch((error) => {
          expect(error).toBeInstanceOf(IntakeError);
        });
      }
    }
  });
});
