import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { caseOf, judge, type Verdict } from './subject.ts';
import { SUBJECTS } from './subjects.ts';

/** Cases of the short run, for each reader; `npm run fuzz` goes on from here. */
const CASES = 150;
const SEED = 20;
const FOUND = new URL('./found/', import.meta.url);

describe.each(SUBJECTS.map((subject) => [subject.name, subject] as const))('%s', (_, subject) => {
  test('good files are read', async () => {
    for (const bytes of subject.good) expect(await judge(subject, bytes)).toBe('read');
  });

  test('cut off at every byte of its beginning, and at places beyond', async () => {
    for (const bytes of subject.good) {
      const step = subject.good.length > 1 ? 3 : 1;
      for (let length = 0; length < Math.min(bytes.length, 300); length++)
        await judge(subject, bytes.subarray(0, length));
      for (
        let length = 300;
        length < bytes.length;
        length += Math.max(37 * step, Math.floor(bytes.length / 40))
      )
        await judge(subject, bytes.subarray(0, length));
    }
  });

  test(`${CASES} mutants, seed ${SEED}`, async () => {
    const verdicts: Record<Verdict, number> = { read: 0, refused: 0 };
    for (let number = 0; number < CASES; number++) {
      try {
        verdicts[await judge(subject, caseOf(subject, SEED, number))]++;
      } catch (error) {
        throw new Error(`case ${number}: ${error instanceof Error ? error.message : error}`, {
          cause: error,
        });
      }
    }
    // Both ends must be reached, or the mutants were too tame or too wild to tell anything.
    expect(verdicts.read).toBeGreaterThan(0);
    expect(verdicts.refused).toBeGreaterThan(CASES / 10);
  });

  test('files made to hurt', async () => {
    for (const [what, bytes] of subject.hostile()) {
      await judge(subject, bytes).catch((error: unknown) => {
        throw new Error(`${what}: ${error instanceof Error ? error.message : error}`, { cause: error });
      });
    }
  });
});

describe('what longer runs have found', () => {
  const files = readdirSync(FOUND).filter((name) => name.includes('--'));
  test.each(files)('%s', async (name) => {
    const subject = SUBJECTS.find((one) => one.name === name.split('--')[0]);
    if (subject === undefined) throw new Error(`no reader is called ${name.split('--')[0]}`);
    await judge(subject, new Uint8Array(readFileSync(new URL(name, FOUND))));
  });
});
