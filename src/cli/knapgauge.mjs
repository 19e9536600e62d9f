#!/usr/bin/env node
/** What `npx knapgauge` starts: readies a bare clone (packages, build), then hands over to the command line. */
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { ensureInstalled, ensureNode } from './ensure.mjs';
import { ensureBuilt, NODE_BUILD } from './nodeBuild.mjs';

ensureNode();
ensureInstalled();
try {
  ensureBuilt();
} catch (error) {
  console.error(`knapgauge: ${error.message}`);
  process.exit(1);
}
await import(pathToFileURL(join(NODE_BUILD, 'main.js')).href);
