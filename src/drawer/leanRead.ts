import { encloses, verifyVersion } from '../record/read.ts';
import { RecordError, type SpecimenRecord } from '../record/schema.ts';
import { clipped } from '../record/shown.ts';

type Fields = Readonly<Record<string, unknown>>;

/**
 * Reads of a record what comparing needs, and checks only that: ten times as fast as checking the whole, which counts where
 * thousands are read. What is returned may be used by `toLean` and nothing else. Throws a RecordError.
 */
export function readForComparing(text: string): SpecimenRecord {
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
  const problem = findProblem(value as Fields);
  if (problem !== undefined) throw new RecordError('record-shape', `The record is damaged: ${problem}.`);
  return value as SpecimenRecord;
}

function findProblem(record: Fields): string | undefined {
  const { id, catalogue, source, measurements, outline, series } = record;
  if (typeof id !== 'string') return 'it has no id';
  if (!isFields(catalogue)) return 'it has no catalogue';
  const number = catalogue.number;
  if (number !== undefined && typeof number !== 'string') return 'its catalogue number is not a text';
  if (!isFields(source) || typeof source.file !== 'string' || typeof source.kind !== 'string') {
    return 'it does not name its source';
  }
  if (!Array.isArray(measurements) || !measurements.every(isMeasurement))
    return 'its measurements are not in order';
  if (!isFields(outline) || !isRing(outline.outer)) return 'its outline is not a ring of points';
  if (!isFields(series)) return 'it has no series';
  if (series.fourier !== undefined && !isTable(series.fourier)) return 'its series “fourier” is not a table';
  return undefined;
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isMeasurement(value: unknown): boolean {
  if (!isFields(value) || typeof value.id !== 'string') return false;
  const finite = (number: unknown): boolean => typeof number !== 'number' || Number.isFinite(number);
  const kind = value.value === null || typeof value.value === 'string' || typeof value.value === 'number';
  return (
    kind && finite(value.value) && (value.u === undefined || (typeof value.u === 'number' && finite(value.u)))
  );
}

function isRing(value: unknown): boolean {
  const isPair = (point: unknown): boolean =>
    Array.isArray(point) && point.length === 2 && Number.isFinite(point[0]) && Number.isFinite(point[1]);
  return Array.isArray(value) && value.every(isPair) && encloses(value);
}

function isTable(value: unknown): boolean {
  return isFields(value) && Object.values(value).every(Array.isArray);
}
