/** Holds stated uncertainties to the truth: `node tests/accuracy/coverage.mjs`. Tables to the screen and docs/uncertainty.md, all errors to tests/output/coverage.json. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const { module } = await runnerImport(here('./coverage.ts'));
const held = module.runCoverage(module.FULL_COVERAGE, console.log);
const families = module.coverageBy(held, ({ family }) => family);
mkdirSync(here('../output'), { recursive: true });
writeFileSync(here('../output/coverage.json'), JSON.stringify(held));
writeFileSync(here('../../docs/uncertainty.md'), module.coveragePage(held));
console.log(`\n${module.coverageTable(families, 'Family')}`);
console.log(
  `\n${module.coverageTable(
    module.coverageBy(held, ({ id }) => id),
    'Measure',
  )}`,
);
process.exitCode = families.every(({ met }) => met) ? 0 : 1;
