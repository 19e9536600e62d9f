/** Writes the pages and pictures of docs/ that follow from the program itself: `npm run docs`. */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { runnerImport } from 'vite';
import { ROOT } from './ensure.mjs';

/** The demo piece whose sheet the README shows. */
const SHOWN = 'sample-scans/qt-41-4-notched-point.glb';

const load = async (path) => (await runnerImport(join(ROOT, path))).module;
const { methodsPage } = await load('src/record/methodsPage.ts');
const { FAMILIES } = await load('src/measures/catalogue.ts');
writeFileSync(join(ROOT, 'docs/methods.md'), methodsPage(FAMILIES));

const { measureScan } = await load('src/record/measureScan.ts');
const { DEFAULT_SETTINGS } = await load('src/record/settings.ts');
const { sheet } = await load('src/plate/sheet.ts');
const { record, result } = await measureScan(readFileSync(join(ROOT, SHOWN)), SHOWN, DEFAULT_SETTINGS);
mkdirSync(join(ROOT, 'docs/pictures'), { recursive: true });
writeFileSync(join(ROOT, 'docs/pictures/sheet.svg'), sheet(record, result.thicknessMap));
