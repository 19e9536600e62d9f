import { spawnSync } from 'node:child_process';

/** Debian's own interpreter, which has the libraries that these tests compare with. */
const PYTHON = '/usr/bin/python3';

/**
 * Runs a Python program that reads `input` (JSON) from standard input and prints JSON; returns what it printed.
 * Throws what Python said if it failed, so that a missing library fails the test.
 */
export function askPython<Answer>(program: string, input: unknown): Answer {
  const run = spawnSync(PYTHON, ['-c', `import json, sys\ndata = json.load(sys.stdin)\n${program}`], {
    input: JSON.stringify(input),
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  if (run.error) throw run.error;
  if (run.status !== 0) throw new Error(`${PYTHON} failed:\n${run.stderr}`);
  return JSON.parse(run.stdout) as Answer;
}
