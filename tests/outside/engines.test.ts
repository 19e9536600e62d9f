import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { knapgauge, newFolder, smallScan } from '../cli/run.ts';

/** A folder whose name a shell would take apart. */
let scans: string;
let whole: string;
const COMMAND = `${process.execPath} ${join(ROOT, 'src/cli/knapgauge.mjs')}`;
const example = (name: string): string => join(ROOT, 'docs/examples', name);

/** Names and bytes of all files below a folder. */
function filesBelow(folder: string): Map<string, string> {
  const names = readdirSync(folder, { recursive: true, encoding: 'utf8', withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ parentPath, name }) => join(parentPath, name))
    .toSorted();
  return new Map(names.map((path) => [path.slice(folder.length), readFileSync(path, 'latin1')]));
}

beforeAll(() => {
  scans = join(newFolder(), "the year's $HOME scans");
  mkdirSync(scans);
  for (const shape of ['ovate', 'cordate'] as const)
    writeFileSync(join(scans, `${shape}.ply`), smallScan(shape));
  writeFileSync(join(scans, 'bad.ply'), 'ply\nno header\n');
  whole = newFolder();
  expect(knapgauge(['drawer', scans, '--out', whole, '--unit', 'mm', '--quiet']).code).toBe(3);
});

describe('a drawer on existing engines', () => {
  test('Snakemake (Debian snakemake 7.21) on two cores: the bytes of one plain run, a bad scan included', () => {
    const out = join(newFolder(), 'out');
    const args = [
      '-s',
      example('Snakefile'),
      '--cores',
      '2',
      '--nolock',
      '--directory',
      newFolder(),
      '--config',
    ];
    const config = { scans, out, shards: '2', options: '--unit mm', command: COMMAND };
    const settings = Object.entries(config).map(([key, value]) => `${key}=${value}`);
    const run = spawnSync('snakemake', [...args, ...settings], { encoding: 'utf8' });
    if (run.error) throw run.error;
    expect(run.stderr).toContain('3 of 3 steps (100%) done');
    expect(run.status).toBe(0);
    expect(filesBelow(out)).toEqual(filesBelow(whole));
  });

  test('the Slurm array’s script is sound (bash -n), and its tasks merged give the bytes of one plain run', () => {
    const script = example('slurm-array.sh');
    execFileSync('bash', ['-n', script]);
    expect(spawnSync('bash', [script], { encoding: 'utf8' }).status).not.toBe(0);
    const out = join(newFolder(), 'out');
    for (const task of ['1', '2']) {
      execFileSync('bash', [script], {
        env: {
          ...process.env,
          ...{ SCANS: scans, OUT: out, SHARDS: '2', KNAPGAUGE: COMMAND, OPTIONS: '--unit mm' },
          ...{ SLURM_ARRAY_TASK_ID: task, SLURM_CPUS_PER_TASK: '1' },
        },
      });
    }
    const parts = [1, 2].map((task) => join(`${out}.parts`, String(task)));
    expect(knapgauge(['merge', ...parts, '--out', out]).code).toBe(3);
    expect(filesBelow(out)).toEqual(filesBelow(whole));
  });
});
