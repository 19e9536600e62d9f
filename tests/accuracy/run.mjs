/** `npm run accuracy`: runs the whole matrix, prints it and writes docs/accuracy.md. Fails when a target is missed. In parts: see parts.mjs. */
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';
import { inParts } from './parts.mjs';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const { module } = await runnerImport(here('./matrix.ts'));
const coverage = (await runnerImport(here('./coverage.ts'))).module;
const outcomes = inParts('accuracy', module.matrixJobs(module.FULL, console.log));
if (outcomes !== undefined) {
  const matrix = module.condenseMatrix(outcomes);
  const families = coverage.familiesOf(readFileSync(here('../../docs/uncertainty.md'), 'utf8'));
  writeFileSync(here('../../docs/accuracy.md'), coverage.accuracyWithCoverage(module.page(matrix), families));
  console.log(`\n${module.printed(matrix.rows)}\n\nwritten to docs/accuracy.md`);
  process.exitCode = matrix.rows.every((row) => row.met) && matrix.turned.length === 0 ? 0 : 1;
}
