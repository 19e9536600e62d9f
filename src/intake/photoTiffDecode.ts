import { fromArrayBuffer, type GeoTIFFImage } from 'geotiff';
import type { PhotoHeader, Pixels } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/** TIFF 6.0: white is 0, palette, YCbCr. Other readable kinds are grey or RGB with black as 0. */
const [WHITE_IS_ZERO, PALETTE, YCBCR] = [0, 3, 6];

type Samples = Uint8Array | Uint16Array;

/** Pixels of a TIFF as stored (not turned). The same code in the browser and in Node. Throws an IntakeError. */
export async function decodeTiff(
  bytes: Uint8Array,
  { page, width, height, alpha }: PhotoHeader,
): Promise<Pixels> {
  try {
    // A copy that starts at byte 0: the reader takes an ArrayBuffer.
    const tiff = await fromArrayBuffer(bytes.slice().buffer);
    const image = await tiff.getImage(page);
    const photometric = image.fileDirectory.getValue('PhotometricInterpretation') ?? 1;
    const rgba = photometric === YCBCR ? await readYcbcr(image) : await readPlain(image, photometric, alpha);
    return { width, height, rgba };
  } catch (error) {
    if (error instanceof RangeError && /alloc|array length|memory/i.test(error.message)) {
      throw new IntakeError('too-large', 'There is not enough memory to read a picture of this size.');
    }
    throw new IntakeError(
      'broken-picture',
      'The TIFF picture is damaged, or packed in a way that is not read.',
    );
  }
}

async function readYcbcr(image: GeoTIFFImage): Promise<Uint8ClampedArray> {
  const rgb = (await image.readRGB({ interleave: true })) as unknown as Samples;
  return spread(rgb, 3, 1, false, 255);
}

async function readPlain(
  image: GeoTIFFImage,
  photometric: number,
  alpha: boolean,
): Promise<Uint8ClampedArray> {
  const samples = (await image.readRasters({ interleave: true })) as unknown as Samples;
  const each = image.getSamplesPerPixel();
  const top = 2 ** image.getBitsPerSample(0) - 1;
  if (photometric === PALETTE) {
    const map = (await image.fileDirectory.loadValue('ColorMap')) as Samples;
    return throughPalette(samples, map);
  }
  const rgba = spread(samples, each, each >= 3 ? 1 : 0, alpha, top);
  if (photometric === WHITE_IS_ZERO)
    for (let i = 0; i < rgba.length; i++) if ((i & 3) < 3) rgba[i] = 255 - rgba[i];
  return rgba;
}

/** `each` samples a pixel → RGBA. `colour` 1: the first three are R G B; 0: the first is grey. Alpha is the next one. */
function spread(
  samples: Samples,
  each: number,
  colour: 0 | 1,
  alpha: boolean,
  top: number,
): Uint8ClampedArray {
  const count = samples.length / each;
  const rgba = new Uint8ClampedArray(4 * count);
  const scale = 255 / top;
  for (let i = 0; i < count; i++) {
    const from = each * i;
    rgba[4 * i] = samples[from] * scale;
    rgba[4 * i + 1] = samples[from + colour] * scale;
    rgba[4 * i + 2] = samples[from + 2 * colour] * scale;
    rgba[4 * i + 3] = alpha ? samples[from + 2 * colour + 1] * scale : 255;
  }
  return rgba;
}

function throughPalette(samples: Samples, map: Samples): Uint8ClampedArray {
  const colours = map.length / 3;
  const rgba = new Uint8ClampedArray(4 * samples.length);
  for (let i = 0; i < samples.length; i++) {
    for (let c = 0; c < 3; c++) rgba[4 * i + c] = map[c * colours + samples[i]] / 257;
    rgba[4 * i + 3] = 255;
  }
  return rgba;
}
