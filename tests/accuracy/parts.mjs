/**
 * Long runs in parts: `--part 2/3` runs every third case from the second on and keeps what it gave under tests/output;
 * `--merge 3` puts the three together. Without either everything runs at once.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));

/** What all cases gave, as a list, or undefined where only a part of them was run. @param run takes a filter of case indices, gives a list. */
export function inParts(name, run) {
  const { part, merge } = parseArgs({
    options: { part: { type: 'string' }, merge: { type: 'string' } },
  }).values;
  const file = (k, n) => here(`../output/${name}-${k}-of-${n}.json`);
  if (merge !== undefined) {
    const n = whole(merge);
    return Array.from({ length: n }, (_, k) => JSON.parse(readFileSync(file(k + 1, n), 'utf8'))).flat();
  }
  if (part === undefined) return run(() => true);
  const [k, n] = part.split('/').map(whole);
  if (!(k <= n)) throw new Error(`--part takes k/n with k no more than n, not ${part}`);
  mkdirSync(here('../output'), { recursive: true });
  writeFileSync(
    file(k, n),
    JSON.stringify(
      run((i) => i % n === k - 1),
      finite,
    ),
  );
  console.log(`part ${k} of ${n} kept; --merge ${n} when all are there`);
  return undefined;
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
