import { expose } from 'comlink';
import { packArchive, unpackArchive } from '../src/drawer/archive.ts';
import type { ArchiveApi } from './archiveMessages.ts';

const api: ArchiveApi = {
  async pack(files) {
    const read = files.map(async ({ path, blob }) => ({
      path,
      bytes: new Uint8Array(await blob.arrayBuffer()),
    }));
    const bytes = await packArchive(await Promise.all(read));
    return new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'application/zip' });
  },
  async unpack(archive) {
    const files = await unpackArchive(new Uint8Array(await archive.arrayBuffer()));
    return files.map(({ path, bytes }) => ({ path, blob: new Blob([bytes as Uint8Array<ArrayBuffer>]) }));
  },
};

expose(api);
