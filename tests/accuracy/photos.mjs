/** Writes docs/accuracy-photographs.md: `node tests/accuracy/photos.mjs [SEED]`; another seed prints only. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { runnerImport } from 'vite';
import { ROOT } from '../../src/cli/ensure.mjs';

const WRITTEN = 5;
const seed = Number(process.argv[2] ?? WRITTEN);
const { module } = await runnerImport(join(ROOT, 'tests/accuracy/photos.ts'));
const page = await module.photoAccuracyPage(seed);
if (seed === WRITTEN) writeFileSync(join(ROOT, 'docs/accuracy-photographs.md'), page);
console.log(page);
process.exit();
