/**
 * Holds stated uncertainties to the truth: `node tests/accuracy/coverage.mjs`. Tables to the screen, docs/uncertainty.md and
 * the end of docs/accuracy.md, all errors to tests/output/coverage.json. In parts: see parts.mjs. `--shift 10000` takes
 * other seeds, and writes to the screen and tests/output alone: a check that nothing was fitted to the pieces of the page.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { runnerImport } from 'vite';
import { inParts } from './parts.mjs';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const { module } = await runnerImport(here('./coverage.ts'));
const { values } = parseArgs({ options: { shift: { type: 'string', default: '0' } }, strict: false });
const shift = Number(values.shift);
const name = shift === 0 ? 'coverage' : `coverage-${shift}`;
const knap = (await runnerImport(here('./knappedCoverage.ts'))).module;
const jobs = [
  ...module.coverageJobs(module.FULL_COVERAGE, console.log, shift),
  ...knap.knappedJobs(console.log, shift),
];
const all = inParts(name, jobs)?.flat();
const isKnapped = ({ where }) => where.startsWith('knapped');
const held = all?.filter((one) => !isKnapped(one));
if (held !== undefined) {
  const families = module.coverageBy(held, ({ family }) => family);
  mkdirSync(here('../output'), { recursive: true });
  writeFileSync(here(`../output/${name}.json`), JSON.stringify(all));
  const table = module.coverageTable(families, 'Family');
  if (shift === 0) {
    writeFileSync(here('../../docs/uncertainty.md'), module.coveragePage(held, all.filter(isKnapped)));
    const accuracy = here('../../docs/accuracy.md');
    writeFileSync(accuracy, module.accuracyWithCoverage(readFileSync(accuracy, 'utf8'), table));
  }
  console.log(`\n${table}`);
  const knapped = module.coverageBy(all.filter(isKnapped), ({ family }) => family);
  console.log(`\n${module.coverageTable(knapped, 'Knapped')}`);
  console.log(
    `\n${module.coverageTable(
      module.coverageBy(held, ({ id }) => id),
      'Measure',
    )}`,
  );
  process.exitCode = families.every(({ met }) => met) ? 0 : 1;
}
