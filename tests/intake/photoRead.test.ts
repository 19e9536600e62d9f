import sharp, { type Sharp } from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { meansOfCells, readPhoto, reduce } from '../../src/intake/photoRead.ts';
import { meansByVectors } from '../../src/intake/photoReduceSimd.ts';
import { decodeTiff } from '../../src/intake/photoTiffDecode.ts';
import type { Photo, PhotoHeader } from '../../src/intake/photoTypes.ts';
import { DEFAULT_PHOTO_LIMITS } from '../../src/intake/settings.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [46, 31];

/** No symmetry and no plain area: any turn or shift of it is seen. */
function pattern(): Uint8Array {
  const rgb = new Uint8Array(3 * WIDTH * HEIGHT);
  for (let v = 0; v < HEIGHT; v++) {
    for (let u = 0; u < WIDTH; u++) rgb.set([5 * u, 8 * v, 2 * u + 3 * v], 3 * (v * WIDTH + u));
  }
  return rgb;
}

function source(): Sharp {
  return sharp(pattern(), { raw: { width: WIDTH, height: HEIGHT, channels: 3 } });
}

async function read(bytes: Uint8Array): Promise<Photo> {
  return readPhoto(bytes, decodeInNode);
}

/** What sharp itself makes of a file, turned upright: an outside check, but for the decoder of JPEG, PNG and WebP. */
async function bySharp(bytes: Uint8Array): Promise<Uint8Array> {
  return sharp(bytes).autoOrient().toColourspace('srgb').ensureAlpha().raw({ depth: 'uchar' }).toBuffer();
}

function greatest(a: ArrayLike<number>, b: ArrayLike<number>): number {
  expect(a.length).toBe(b.length);
  let most = 0;
  for (let i = 0; i < a.length; i++) most = Math.max(most, Math.abs(a[i] - b[i]));
  return most;
}

describe('reading photographs', () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8])(
    'honours orientation %i in JPEG, PNG, WebP and TIFF',
    async (orientation) => {
      for (const format of ['jpeg', 'png', 'webp', 'tiff'] as const) {
        const options = {
          webp: { lossless: true },
          tiff: { compression: 'lzw' as const },
          jpeg: {},
          png: {},
        }[format];
        const bytes = await source().withMetadata({ orientation }).toFormat(format, options).toBuffer();
        const photo = await read(bytes);
        expect(photo.orientation).toBe(orientation);
        expect([photo.width, photo.height]).toEqual(orientation >= 5 ? [HEIGHT, WIDTH] : [WIDTH, HEIGHT]);
        expect(greatest(photo.rgba, await bySharp(bytes)), format).toBeLessThanOrEqual(
          format === 'jpeg' ? 0 : 1,
        );
      }
    },
  );

  it('reads grey, 16-bit, one-bit and palette pictures', async () => {
    const deep = await source().toColourspace('rgb16').png().toBuffer();
    expect(greatest((await read(deep)).rgba, await bySharp(deep))).toBe(0);
    const palette = await source().png({ palette: true, colours: 16 }).toBuffer();
    expect(greatest((await read(palette)).rgba, await bySharp(palette))).toBe(0);
    const grey = await source().greyscale().toColourspace('b-w').tiff({ compression: 'lzw' }).toBuffer();
    expect(greatest((await read(grey)).rgba, await bySharp(grey))).toBe(0);
  });

  it('reads the resolution tag of each format: 300 dots an inch are 11.811 px/mm', async () => {
    for (const [format, from] of [
      ['jpeg', 'JFIF'],
      ['png', 'pHYs'],
      ['tiff', 'TIFF'],
    ] as const) {
      const { resolution } = await read(
        await source().withMetadata({ density: 300 }).toFormat(format).toBuffer(),
      );
      expect(resolution?.pxPerMm, format).toBeCloseTo(300 / 25.4, 3);
      if (format !== 'jpeg') expect(resolution?.source).toBe(from);
    }
  });

  it('reads the focal length as on film, and knows a camera by its exposure', async () => {
    const exif = { IFD2: { FocalLengthIn35mmFilm: '52', ExposureTime: '1/60' } };
    const photo = await read(await source().withExif(exif).jpeg().toBuffer());
    expect(photo.focal35).toBe(52);
    expect(photo.camera).toBe(true);
    // A 50 mm lens on a sensor as wide as film: 46 pixels on 36 mm, told as 12.778 pixels a centimetre. The picture is a
    // little higher than 3:2, so that its diagonal is 43.41 mm and not film's 43.27.
    const sensor = {
      IFD2: {
        FocalLength: '50/1',
        FocalPlaneXResolution: '12778/1000',
        FocalPlaneResolutionUnit: '3',
      },
    };
    expect((await read(await source().withExif(sensor).jpeg().toBuffer())).focal35).toBeCloseTo(
      (50 * 43.2666) / 43.4118,
      2,
    );
  });

  it('takes alpha for a mask where it is one, and says so where it is not', async () => {
    const withAlpha = async (alpha: (u: number) => number): Promise<Photo> => {
      const rgb = pattern();
      const rgba = new Uint8Array((rgb.length / 3) * 4).map((_, i) =>
        (i & 3) === 3 ? alpha((i >> 2) % WIDTH) : rgb[3 * (i >> 2) + (i & 3)],
      );
      const raw = { width: WIDTH, height: HEIGHT, channels: 4 } as const;
      return read(await sharp(rgba, { raw }).png().toBuffer());
    };
    expect((await withAlpha((u) => (u > 10 ? 255 : 0))).masked).toBe(true);
    const veil = await withAlpha((u) => 5 * u);
    expect(veil.masked).toBe(false);
    expect(veil.warnings.map(({ code }) => code)).toEqual(['alpha-unused']);
    expect((await withAlpha(() => 255)).warnings).toEqual([]);
  });

  it('makes the reduced picture of means, no larger than asked', async () => {
    const photo = await readPhoto(await source().png().toBuffer(), decodeInNode, {
      ...DEFAULT_PHOTO_LIMITS,
      reducedPixels: 200,
    });
    const { factor, width, height, rgba } = photo.reduced;
    expect(factor).toBe(3);
    expect([width, height]).toEqual([15, 10]);
    // Red is 5·column: columns 3…5 have mean 20. Green is 8·row: rows 6…8 have mean 56.
    expect([...rgba.subarray(4 * (2 * width + 1), 4 * (2 * width + 1) + 2)]).toEqual([20, 56]);
    expect(reduce(photo, 1).rgba).toBe(photo.rgba);
  });

  it('takes a hundred megapixels, with a small picture beside them to work coarse to fine', async () => {
    const create = { width: 12_000, height: 8400, channels: 3, background: '#804020' } as const;
    const photo = await read(await sharp({ create }).jpeg().toBuffer());
    expect([photo.width, photo.height, photo.reduced.factor]).toEqual([12_000, 8400, 8]);
    expect(photo.reduced.width * photo.reduced.height).toBeLessThanOrEqual(2_000_000);
    expect([...photo.reduced.rgba.subarray(0, 4)]).toEqual([...photo.rgba.subarray(0, 4)]);
  });
});

describe('the decoder of TIFF for browsers, against libvips', () => {
  const header = { page: 0, width: WIDTH, height: HEIGHT, alpha: false } as PhotoHeader;

  it.each(['none', 'lzw', 'deflate', 'packbits'] as const)(
    'unpacks %s, in strips and tiles',
    async (compression) => {
      for (const tile of [false, true]) {
        for (const predictor of ['none', 'horizontal'] as const) {
          const bytes = await source()
            .tiff({ compression, predictor, tile, tileWidth: 32, tileHeight: 32 })
            .toBuffer();
          const { rgba } = decodeTiff(bytes, header);
          expect(greatest(rgba, await bySharp(bytes))).toBe(0);
        }
      }
    },
  );

  it('refuses JPEG within TIFF, which the library unpacks without end where it is damaged', async () => {
    const bytes = await source().tiff({ compression: 'jpeg' }).toBuffer();
    expect(() => decodeTiff(bytes, header)).toThrow(/^The TIFF picture is of a kind that browsers/);
  });

  it.each([
    ['grey', (it: Sharp) => it.greyscale().toColourspace('b-w').tiff({ compression: 'lzw' }), 0],
    ['one bit', (it: Sharp) => it.greyscale().threshold(120).tiff({ bitdepth: 1, compression: 'none' }), 0],
    [
      'one bit, white is 0',
      (it: Sharp) =>
        it.greyscale().threshold(120).tiff({ bitdepth: 1, miniswhite: true, compression: 'none' }),
      0,
    ],
    ['16 bits', (it: Sharp) => it.toColourspace('rgb16').tiff({ compression: 'deflate' }), 1],
    [
      '16 bits of grey',
      (it: Sharp) => it.greyscale().toColourspace('grey16').tiff({ compression: 'lzw' }),
      1,
    ],
    ['with alpha', (it: Sharp) => it.ensureAlpha(0.5).tiff({ compression: 'lzw' }), 0],
  ] as const)('reads %s', async (name, make, apart) => {
    const bytes = await make(source()).toBuffer();
    const { rgba } = decodeTiff(bytes, { ...header, alpha: name === 'with alpha' });
    expect(greatest(rgba, await bySharp(bytes))).toBeLessThanOrEqual(apart);
  });
});

describe('means of cells by vectors', () => {
  const random = createRandom(7);
  for (const [width, height, columns, rows] of [
    [46, 31, 2, 2],
    [101, 67, 3, 3],
    [50, 50, 7, 7],
    [33, 9, 4, 1],
    [640, 480, 5, 5],
    [300, 300, 64, 64],
  ]) {
    it(`are those of one pixel after another: ${width} × ${height} by ${columns} × ${rows}, seed 7`, () => {
      // Codes of few kinds, so that many means lie half-way between two.
      const rgba = Uint8ClampedArray.from(
        { length: 4 * width * height },
        () => 85 * Math.floor(4 * random.next()),
      );
      const cells = [Math.floor(width / columns), Math.floor(height / rows), columns, rows] as const;
      const means = meansByVectors(rgba, width, ...cells);
      expect(means).toBeDefined();
      expect(means).toEqual(meansOfCells(rgba, width, ...cells));
    });
  }

  it('are left to others where sums would not hold', () => {
    const rgba = new Uint8ClampedArray(4 * 300 * 300);
    expect(meansByVectors(rgba, 300, 1, 1, 1, 258)).toBeUndefined();
    expect(meansByVectors(rgba, 300, 1, 1, 100, 100)).toBeUndefined();
  });
});
