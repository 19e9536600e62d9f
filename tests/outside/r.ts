import { spawnSync } from 'node:child_process';

/**
 * Runs an R program with the arguments as `args`; returns what it printed. Throws what R said if it failed, so that a
 * missing R fails the test.
 */
export function askR(program: string, args: readonly string[]): string {
  const run = spawnSync(
    'Rscript',
    ['--vanilla', '-e', `args <- commandArgs(trailingOnly = TRUE)\n${program}`, ...args],
    {
      encoding: 'utf8',
      maxBuffer: 1 << 28,
      env: { ...process.env, LC_ALL: 'C.UTF-8' },
    },
  );
  if (run.error) throw run.error;
  if (run.status !== 0) throw new Error(`Rscript failed:\n${run.stderr}`);
  return run.stdout;
}
