import { deflateRawSync } from 'node:zlib';
import { zipSync } from 'fflate';
import { MOST_BYTES, packArchive, unpackArchive } from '../../src/drawer/archive.ts';
import type { Subject } from './subject.ts';

const bytesOf = (words: string): Uint8Array => new TextEncoder().encode(words);

const GOOD = await packArchive([
  { path: 'pieces/1/piece.json', bytes: bytesOf('{"title":"Ä"}') },
  { path: 'pieces/1/scan/Stück 7.ply', bytes: Uint8Array.from({ length: 900 }, (_, k) => (k * k) % 251) },
]);

const manifest = (files: unknown): Uint8Array =>
  bytesOf(JSON.stringify({ format: 'knapgauge-drawer', version: 1, files }));

/** A ZIP of many entries that all lie over the same packed zeros: small as a file, vast unpacked. */
function overlapping(entries: number, bytes: number): Uint8Array {
  const packed = deflateRawSync(new Uint8Array(bytes), { level: 9 });
  const named = manifest(
    Array.from({ length: entries }, (_, k) => ({ path: `f${k}`, bytes, sha256: '0'.repeat(64) })),
  );
  const local = (name: string, body: Uint8Array, size: number, method: number): Buffer => {
    const head = Buffer.alloc(30 + name.length);
    head.writeUInt32LE(0x04034b50, 0);
    head.writeUInt16LE(20, 4);
    head.writeUInt16LE(method, 8);
    head.writeUInt32LE(body.length, 18);
    head.writeUInt32LE(size, 22);
    head.writeUInt16LE(name.length, 26);
    head.write(name, 30, 'latin1');
    return Buffer.concat([head, body]);
  };
  const central = (
    name: string,
    packedSize: number,
    size: number,
    method: number,
    offset: number,
  ): Buffer => {
    const head = Buffer.alloc(46 + name.length);
    head.writeUInt32LE(0x02014b50, 0);
    head.writeUInt16LE(20, 4);
    head.writeUInt16LE(20, 6);
    head.writeUInt16LE(method, 10);
    head.writeUInt32LE(packedSize, 20);
    head.writeUInt32LE(size, 24);
    head.writeUInt16LE(name.length, 28);
    head.writeUInt32LE(offset, 42);
    head.write(name, 46, 'latin1');
    return head;
  };
  const first = local('manifest.json', named, named.length, 0);
  const second = local('f0', packed, bytes, 8);
  const directory = Buffer.concat([
    central('manifest.json', named.length, named.length, 0, 0),
    ...Array.from({ length: entries }, (_, k) => central(`f${k}`, packed.length, bytes, 8, first.length)),
  ]);
  const end = Buffer.alloc(22);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt16LE(entries + 1, 8);
  end.writeUInt16LE(entries + 1, 10);
  end.writeUInt32LE(directory.length, 12);
  end.writeUInt32LE(first.length + second.length, 16);
  return Buffer.concat([first, second, directory, end]);
}

export const drawerArchiveSubject: Subject = {
  name: 'archive',
  good: [GOOD],
  text: false,
  hostile: () => [
    ['20 files of 100 MB over the same bytes', overlapping(20, 100_000_000)],
    ['60 000 files of 30 kB over the same bytes', overlapping(60_000, 30_000)],
    ['one file of 500 MB of zeros', overlapping(1, 500_000_000)],
    [
      'upward paths',
      zipSync({
        'manifest.json': manifest([{ path: '../../a', bytes: 1, sha256: '' }]),
        '../../a': bytesOf('a'),
      }),
    ],
    [
      'a manifest nested without end',
      zipSync({
        'manifest.json': bytesOf(`{"format":"knapgauge-drawer","version":1,"files":${'['.repeat(900_000)}`),
      }),
    ],
    [
      'a version nested without end',
      zipSync({
        'manifest.json': bytesOf(
          `{"format":"knapgauge-drawer","version":${'['.repeat(100_000)}${']'.repeat(100_000)}}`,
        ),
      }),
    ],
    [
      'a version of 1e300',
      zipSync({ 'manifest.json': bytesOf('{"format":"knapgauge-drawer","version":1e300,"files":[]}') }),
    ],
    [
      'a path of a million letters',
      zipSync({ 'manifest.json': manifest([{ path: 'a'.repeat(1_000_000), bytes: 1, sha256: '' }]) }),
    ],
    ['a directory that promises 65 535 files', promising()],
  ],
  async read(bytes) {
    const files = await unpackArchive(bytes);
    let whole = 0;
    for (const { path, bytes: inner } of files) {
      if (/(?:^|\/)\.\.?(?:\/|$)|^[/\\]|\\/.test(path)) throw new Error(`unsound: path ${path}`);
      whole += inner.length;
    }
    if (whole > MOST_BYTES) throw new Error('unsound: too large');
  },
};

function promising(): Uint8Array {
  const out = GOOD.slice();
  const view = new DataView(out.buffer);
  view.setUint16(out.length - 22 + 8, 0xffff, true);
  return out;
}
