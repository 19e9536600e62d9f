import { expose } from 'comlink';
import { archiveWriter, unpackArchive } from '../src/drawer/archive.ts';
import type { ArchiveApi } from './archiveMessages.ts';

/** What is written waits here until a blob takes it in: browsers keep blobs outside the heap. */
let waiting: Uint8Array<ArrayBuffer>[] = [];
let packed: Blob[] = [];
const TYPE = 'application/zip';
let writer: ReturnType<typeof archiveWriter> | undefined;

const api: ArchiveApi = {
  async add({ path, blob }) {
    writer ??= archiveWriter((bytes) => waiting.push(bytes as Uint8Array<ArrayBuffer>));
    await writer.add({ path, bytes: new Uint8Array(await blob.arrayBuffer()) });
    packed.push(new Blob(waiting));
    waiting = [];
  },
  finish() {
    writer?.finish();
    const archive = new Blob([...packed, ...waiting], { type: TYPE });
    writer = undefined;
    [packed, waiting] = [[], []];
    return archive;
  },
  async unpack(archive) {
    const files = await unpackArchive(new Uint8Array(await archive.arrayBuffer()));
    return files.map(({ path, bytes }) => ({ path, blob: new Blob([bytes as Uint8Array<ArrayBuffer>]) }));
  },
};

expose(api);
