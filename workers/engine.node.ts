/// <reference path="./comlink-node.d.ts" />
import { parentPort } from 'node:worker_threads';
import * as Comlink from 'comlink';
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs';
import { runFileJob } from './fileJob.ts';

/** What a worker thread of the command line answers to. */
const api = { runFileJob };
export type NodeEngine = typeof api;

if (parentPort !== null) Comlink.expose(api, nodeEndpoint(parentPort));
