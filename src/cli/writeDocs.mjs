/** Writes the pages of docs/ that follow from the program itself: `npm run docs`. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { runnerImport } from 'vite';
import { ROOT } from './ensure.mjs';

const load = async (path) => (await runnerImport(join(ROOT, path))).module;
const { methodsPage } = await load('src/record/methodsPage.ts');
const { FAMILIES } = await load('src/measures/catalogue.ts');

writeFileSync(join(ROOT, 'docs/methods.md'), methodsPage(FAMILIES));
