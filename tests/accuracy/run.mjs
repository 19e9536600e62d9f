/** `npm run accuracy`: runs the whole matrix, prints it and writes docs/accuracy.md. Fails when a target is missed. */
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const { module } = await runnerImport(here('./matrix.ts'));
const matrix = module.runMatrix(module.FULL, console.log);
writeFileSync(here('../../docs/accuracy.md'), module.page(matrix));
console.log(`\n${module.printed(matrix.rows)}\n\nwritten to docs/accuracy.md`);
process.exitCode = matrix.rows.every((row) => row.met) && matrix.turned.length === 0 ? 0 : 1;
