import { expose } from 'comlink';
import { sha256Hex } from '../src/record/sha256.ts';

/** Reads files for no more than their SHA-256. */
const api = {
  digest: async (file: Blob): Promise<string> => sha256Hex(new Uint8Array(await file.arrayBuffer())),
};
export type DigestApi = typeof api;

expose(api);
