/**
 * Long runs in parts: `--part 2/3` runs every third case from the second on and keeps what each gave under tests/output;
 * started again it goes on where it was stopped. `--merge 3` puts the three together and clears them away. Without either
 * everything runs at once. Other options are left to who calls.
 */
import { appendFileSync, existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));

/** What each case gave, as a list, or undefined where only a part of them was run. @param cases functions that run one case each. */
export function inParts(name, cases) {
  const { part, merge } = parseArgs({
    options: { part: { type: 'string' }, merge: { type: 'string' } },
    strict: false,
  }).values;
  const file = (k, n) => here(`../output/${name}-${k}-of-${n}.jsonl`);
  if (merge !== undefined) return merged(whole(merge), file, cases.length);
  if (part === undefined) return cases.map((run) => run());
  const [k, n] = part.split('/').map(whole);
  if (!(k <= n)) throw new Error(`--part takes k/n with k no more than n, not ${part}`);
  mkdirSync(here('../output'), { recursive: true });
  const done = new Set(kept(file(k, n)).map(([i]) => i));
  cases.forEach((run, i) => {
    if (i % n !== k - 1 || done.has(i)) return;
    appendFileSync(file(k, n), `${JSON.stringify([i, run()], finite)}\n`);
  });
  console.log(`part ${k} of ${n} is kept; --merge ${n} when all are there`);
  return undefined;
}

function merged(n, file, count) {
  const files = Array.from({ length: n }, (_, k) => file(k + 1, n));
  const given = new Map(files.flatMap(kept));
  if (given.size !== count)
    throw new Error(`of ${count} cases ${given.size} are there: run the other parts first`);
  for (const path of files) rmSync(path);
  return Array.from({ length: count }, (_, i) => given.get(i));
}

/** Pairs of a case's index and what it gave; a line that was cut short is none. */
function kept(path) {
  if (!existsSync(path)) return [];
  const lines = readFileSync(path, 'utf8').split('\n').slice(0, -1);
  return lines.map((line) => JSON.parse(line));
}

/** JSON turns what is no number into nothing, and nothing would pass for an error of zero. */
function finite(key, value) {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new Error(`${key} is no number`);
  return value;
}

function whole(text) {
  const n = Number(text);
  if (!Number.isInteger(n) || n < 1) throw new Error(`a whole number from 1 on is wanted, not ${text}`);
  return n;
}
