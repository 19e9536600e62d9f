declare module 'comlink/dist/esm/node-adapter.mjs' {
  import type { MessagePort, Worker } from 'node:worker_threads';
  import type { Endpoint } from 'comlink';

  /** Makes one end of a worker thread look like a browser's message port. */
  export default function nodeEndpoint(end: Worker | MessagePort): Endpoint;
}
