import { type Schema, Validator } from '@cfworker/json-schema';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import { RECORD_FORMAT, RECORD_VERSION, RecordError, type SpecimenRecord } from './schema.ts';
import { clipped, shown } from './shown.ts';
import { specimenSchema } from './specimenSchema.ts';

/** Keys that could reach a prototype when an object is copied carelessly; no record has them. */
const FORBIDDEN_KEYS = new Set(['__proto__', 'constructor', 'prototype']);
/** Half of a letter, which no address can hold: the checker writes addresses of keys. */
const HALF_LETTER = /\p{Surrogate}/u;
/** Deeper than any record goes, and shallow enough for every recursive walk after it. */
const DEEPEST = 16;

let validator: Validator | undefined;

/**
 * Reads the text of a record. Nothing of a refused text is kept or changed.
 * Throws a RecordError: `record-json`, `record-format`, `record-newer`, `record-shape`.
 */
export function readRecord(text: string): SpecimenRecord {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    throw new RecordError(
      'record-json',
      `This is not a record: its text is not JSON (${clipped((cause as Error).message, 120)}).`,
    );
  }
  verifyVersion(value);
  const problem = findProblem(value);
  if (problem !== undefined)
    throw new RecordError('record-shape', `The record is damaged: ${clipped(problem, 300)}.`);
  return value as SpecimenRecord;
}

/** Throws a RecordError unless the value says that it is a record of a version that can be read here. */
export function verifyVersion(value: unknown): void {
  const { format, version } = (typeof value === 'object' && value !== null ? value : {}) as Record<
    string,
    unknown
  >;
  if (format !== RECORD_FORMAT) {
    throw new RecordError('record-format', `This is not a record: "format" is not "${RECORD_FORMAT}".`);
  }
  if (typeof version === 'number' && version > RECORD_VERSION) {
    throw new RecordError(
      'record-newer',
      `The record has version ${shown(version)}, and this program reads up to ${RECORD_VERSION}: open it with a newer one. It was left untouched.`,
    );
  }
  if (version !== RECORD_VERSION) {
    throw new RecordError(
      'record-format',
      `The record has no version that was ever written: ${shown(version)}.`,
    );
  }
}

/** The first thing in which a value is no record of the present version, as a clause; undefined when it is one. */
export function findProblem(value: unknown): string | undefined {
  return findUnsafe(value, '', 0) ?? findMisshapen(value) ?? findUneven(value as SpecimenRecord);
}

/** JSON can hold 1e999, which reads as infinity, keys that reach prototypes, and nesting without end. */
function findUnsafe(value: unknown, path: string, depth: number): string | undefined {
  if (typeof value === 'number') return Number.isFinite(value) ? undefined : `${path} is not a finite number`;
  if (typeof value !== 'object' || value === null) return undefined;
  if (depth > DEEPEST) return `${path} is nested too deep`;
  for (const key of Object.keys(value)) {
    if (FORBIDDEN_KEYS.has(key) || HALF_LETTER.test(key)) return `${path}/${key} is not allowed`;
    const found = findUnsafe((value as Record<string, unknown>)[key], `${path}/${key}`, depth + 1);
    if (found !== undefined) return found;
  }
  return undefined;
}

/** Millimetres; a kilometre is the largest piece that is ever measured. */
const FARTHEST = 1e9;

/** Whether a ring of points (mm) lies within reach and goes round something. */
export function encloses(ring: readonly (readonly [number, number])[]): boolean {
  const near = ring.every(([x, y]) => Math.abs(x) <= FARTHEST && Math.abs(y) <= FARTHEST);
  return near && ring.length >= 3 && Math.abs(polygonMoments([Float64Array.from(ring.flat())]).area) > 0;
}

function findMisshapen(value: unknown): string | undefined {
  validator ??= new Validator(specimenSchema as Schema, '2020-12', true);
  const { valid, errors } = validator.validate(value);
  if (valid) return undefined;
  // The innermost fault comes last and says most.
  const { instanceLocation, error } = errors[errors.length - 1];
  return `${instanceLocation.replace(/^#/, '') || 'the whole'}: ${error.replace(/\.$/, '')}`;
}

/** What the schema can't say: columns of one table are equally long, each measure stands once. */
function findUneven(record: SpecimenRecord): string | undefined {
  const tables = { ...record.series, profile: record.profile };
  for (const [name, table] of Object.entries(tables)) {
    const lengths = new Set(Object.values(table).map((column) => column.length));
    if (lengths.size > 1) return `the columns of ${name} differ in length`;
  }
  const ids = new Set<string>();
  for (const { id } of record.measurements) {
    if (ids.has(id)) return `the measure ${id} stands twice`;
    ids.add(id);
  }
  if (!encloses(record.outline.outer)) return 'its outline encloses no area';
  return record.id === record.source.sha256.slice(0, 16) ? undefined : 'its id is not that of its source';
}
