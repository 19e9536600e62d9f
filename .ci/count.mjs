/** Prints the closing count of a test run and exits as the run did: `node count.mjs RESULTS STATUS`. */
import { existsSync, readFileSync } from 'node:fs';

const [path, status] = process.argv.slice(2);
const counts = { passed: 0, failed: 0, skipped: 0 };
if (existsSync(path)) {
  for (const file of JSON.parse(readFileSync(path, 'utf8')).testResults) {
    // A file that could not be loaded has no tests to its name and has failed all the same.
    if (file.status === 'failed' && file.assertionResults.length === 0) counts.failed++;
    for (const test of file.assertionResults) {
      if (test.status === 'passed') counts.passed++;
      else if (test.status === 'failed') counts.failed++;
      else counts.skipped++;
    }
  }
}
// The run stopped before its tests (types, lint, build), or failed outside of any of them.
if (status !== '0' && counts.failed === 0) counts.failed = 1;
console.log(`${counts.passed} passed, ${counts.failed} failed, ${counts.skipped} skipped`);
process.exitCode = status === '0' && counts.failed === 0 && counts.passed > 0 ? 0 : 1;
