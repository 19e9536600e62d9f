/**
 * `npm run memory -- [20]`: a scan of so many million triangles measured by the command line, whole and thinned: what was
 * foretold, what it took at the peak, and how far the numbers of the thinned scan lie from those of the whole, in its own
 * uncertainties. Fails where more memory was needed than foretold. Needs Debian's python3.
 */
import { execFile } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { runnerImport } from 'vite';

const run = promisify(execFile);
const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const MILLIONS = Number(process.argv[2] ?? 20);
const THIN = 1_000_000;
/** A coarse piece is cut into quarters so often: quick to make, and as fine as asked for. */
const QUARTERINGS = 4;

const out = here('../output/memory');
mkdirSync(out, { recursive: true });
const scan = join(out, `${MILLIONS}-million.ply`);
if (!existsSync(scan)) {
  const { module } = await runnerImport(here('./meshes.ts'));
  writeFileSync(scan, module.binaryPly(module.benchMesh(MILLIONS * 1e6, QUARTERINGS)));
}
const { module: foretell } = await runnerImport(here('../../src/intake/foretell.ts'));
const bytes = statSync(scan).size;
const needs = foretell.scanNeeds(readFileSync(scan).subarray(0, foretell.FORETOLD_FROM), bytes);

async function measured(name, foretold, options) {
  const folder = join(out, name);
  const program = [process.execPath, here('../../src/cli/knapgauge.mjs'), 'measure', scan, '--out', folder];
  const command = [...program, '--unit', 'mm', '--only', 'json', '--quiet', ...options];
  const { stdout } = await run('/usr/bin/python3', [here('./account.py'), ...command]);
  const { code, ms, peak } = JSON.parse(stdout.trim().split('\n').at(-1));
  if (code !== 0) throw new Error(`knapgauge ended with ${code}: ${stdout}`);
  const gb = (size) => `${(size / 1e9).toFixed(2)} GB`;
  console.log(
    `${name.padEnd(8)} ${(ms / 1000).toFixed(0)} s, peak ${gb(peak)} (${(peak / bytes).toFixed(1)} × the file), foretold ${gb(foretold)}`,
  );
  if (peak > foretold) process.exitCode = 1;
  return JSON.parse(readFileSync(join(folder, `${MILLIONS}-million.specimen.json`), 'utf8'));
}

const whole = await measured('whole', needs.whole, []);
const thin = await measured('thinned', needs.thinned(THIN), ['--thin', String(THIN)]);
const far = whole.measurements.flatMap(({ id, value }, k) => {
  const { value: other, u } = thin.measurements[k];
  return typeof value === 'number' && typeof other === 'number' && u > 0
    ? [{ id, z: Math.abs(value - other) / u }]
    : [];
});
const share = (most) => ((100 * far.filter(({ z }) => z <= most).length) / far.length).toFixed(0);
console.log(
  `of ${far.length} measures ${share(1)} % lie within one u of the whole scan's, ${share(2)} % within two`,
);
for (const { id, z } of far.filter(({ z }) => z > 2)) console.log(`  ${id}: ${z.toFixed(1)} u`);
