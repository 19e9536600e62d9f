import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { V8_SETTINGS } from '../../workers/v8.node.ts';

test('this Node knows every setting of V8, and takes it after its start without a word', () => {
  const script = `
    const { setFlagsFromString } = require('node:v8');
    for (const setting of ${JSON.stringify(V8_SETTINGS)}) setFlagsFromString(setting);
    new (require('node:worker_threads').Worker)('console.log("a thread ran")', { eval: true });`;
  const run = spawnSync(process.execPath, ['-e', script], { encoding: 'utf8' });
  expect(run).toMatchObject({ status: 0, stderr: '', stdout: 'a thread ran\n' });
});

test('a setting that V8 does not know is heard: the test above can fail', () => {
  const script = `require('node:v8').setFlagsFromString('--no-such-setting')`;
  expect(spawnSync(process.execPath, ['-e', script], { encoding: 'utf8' }).stderr).toContain('unrecognized');
});
