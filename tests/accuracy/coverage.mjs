/**
 * Holds stated uncertainties to the truth: `node tests/accuracy/coverage.mjs`. Tables to the screen, docs/uncertainty.md and
 * the end of docs/accuracy.md, all errors to tests/output/coverage.json. In parts: see parts.mjs.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';
import { inParts } from './parts.mjs';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const { module } = await runnerImport(here('./coverage.ts'));
const held = inParts('coverage', module.coverageJobs(module.FULL_COVERAGE, console.log))?.flat();
if (held !== undefined) {
  const families = module.coverageBy(held, ({ family }) => family);
  mkdirSync(here('../output'), { recursive: true });
  writeFileSync(here('../output/coverage.json'), JSON.stringify(held));
  writeFileSync(here('../../docs/uncertainty.md'), module.coveragePage(held));
  const accuracy = here('../../docs/accuracy.md');
  const table = module.coverageTable(families, 'Family');
  writeFileSync(accuracy, module.accuracyWithCoverage(readFileSync(accuracy, 'utf8'), table));
  console.log(`\n${table}`);
  console.log(
    `\n${module.coverageTable(
      module.coverageBy(held, ({ id }) => id),
      'Measure',
    )}`,
  );
  process.exitCode = families.every(({ met }) => met) ? 0 : 1;
}
