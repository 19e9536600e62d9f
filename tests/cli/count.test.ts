import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { newFolder } from './run.ts';

const COUNT = fileURLToPath(new URL('../../.ci/count.mjs', import.meta.url));

/** The closing line and exit code for a run that ended with `status` and left these results. */
function count(status: string, files?: readonly { status: string; tests: readonly string[] }[]) {
  const path = join(newFolder(), 'results.json');
  if (files !== undefined) {
    const testResults = files.map(({ status, tests }) => ({
      status,
      assertionResults: tests.map((status) => ({ status })),
    }));
    writeFileSync(path, JSON.stringify({ testResults }));
  }
  const run = spawnSync(process.execPath, [COUNT, path, status], { encoding: 'utf8' });
  return { line: run.stdout.trimEnd(), code: run.status };
}

test('counts passed, failed and skipped tests', () => {
  const good = [{ status: 'passed', tests: ['passed', 'passed', 'pending'] }];
  expect(count('0', good)).toEqual({ line: '2 passed, 0 failed, 1 skipped', code: 0 });
  const bad = [...good, { status: 'failed', tests: ['failed', 'passed'] }];
  expect(count('1', bad)).toEqual({ line: '3 passed, 1 failed, 1 skipped', code: 1 });
});

test('a file that could not be loaded has failed', () => {
  const files = [
    { status: 'passed', tests: ['passed'] },
    { status: 'failed', tests: [] },
  ];
  expect(count('1', files)).toEqual({ line: '1 passed, 1 failed, 0 skipped', code: 1 });
});

test('a run that stopped before its tests has failed, and so has one without any', () => {
  expect(count('2')).toEqual({ line: '0 passed, 1 failed, 0 skipped', code: 1 });
  expect(count('0', [])).toEqual({ line: '0 passed, 0 failed, 0 skipped', code: 1 });
  const good = [{ status: 'passed', tests: ['passed'] }];
  expect(count('1', good)).toEqual({ line: '1 passed, 1 failed, 0 skipped', code: 1 });
});
