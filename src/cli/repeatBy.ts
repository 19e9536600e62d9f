import { readFile } from 'node:fs/promises';
import { csvParse } from 'd3-dsv';
import { RecordError, type SpecimenRecord } from '../record/schema.ts';

export interface Named {
  readonly piece: string;
  readonly observer: string | undefined;
}

/** Says which piece a record is of and who measured it. `stem`: the file's name without its ending. Throws in a sentence. */
export type NameReader = (record: SpecimenRecord, stem: string) => Named;

/** Reads `--by`: `number`, a pattern with `{piece}`, or the path of a CSV table. Throws in a sentence. */
export async function readBy(by: string): Promise<NameReader> {
  if (by === 'number') return byNumber;
  if (by.includes('{')) return byPattern(by);
  return readTable(
    by,
    await readFile(by, 'utf8').catch(() => {
      throw new Error(
        `--by: ${by} is neither \`number\`, nor a pattern with {piece}, nor a CSV file that can be read.`,
      );
    }),
  );
}

const byNumber: NameReader = ({ catalogue }) => {
  if (catalogue.number === undefined || catalogue.number === '') {
    throw new Error('the record has no catalogue number: give --by a pattern of file names or a CSV file');
  }
  return { piece: catalogue.number, observer: catalogue.observer };
};

/** `{piece}-{observer}-{}`: each name stands for one letter or more, `{}` for any; all but the last part take few. */
function byPattern(pattern: string): NameReader {
  const parts = pattern.split(/(\{[^}]*\})/);
  const fields = parts.filter((part) => part.startsWith('{'));
  const unknown = fields.find((field) => !['{piece}', '{observer}', '{}'].includes(field));
  if (unknown !== undefined) throw new Error(`--by: ${unknown} is none of {piece}, {observer} and {}.`);
  if (
    fields.filter((field) => field === '{piece}').length !== 1 ||
    fields.filter((f) => f === '{observer}').length > 1
  ) {
    throw new Error('--by: a pattern names {piece} once and {observer} at most once.');
  }
  const source = parts
    .map((part) => {
      if (part === '{piece}') return '(?<piece>.+?)';
      if (part === '{observer}') return '(?<observer>.+?)';
      if (part === '{}') return '.*?';
      return part.replace(/[\\^$.*+?()[\]{}|]/g, '\\$&');
    })
    .join('');
  const matcher = new RegExp(`^${source}$`, 'u');
  return ({ catalogue }, stem) => {
    const groups = matcher.exec(stem)?.groups;
    if (groups === undefined) throw new Error(`its name does not follow the pattern ${pattern}`);
    return { piece: groups.piece, observer: groups.observer ?? catalogue.observer };
  };
}

/**
 * A table with the columns record (file name, with or without its ending), piece and, if there are several, observer.
 * Throws a RecordError of one plain sentence.
 */
export function readTable(path: string, text: string): NameReader {
  const rows = csvParse(text.replace(/^\ufeff/, ''));
  for (const column of ['record', 'piece']) {
    if (!rows.columns.includes(column))
      throw new RecordError('repeat-by', `--by: ${path} has no column ${column}.`);
  }
  const known = new Map(rows.map((row) => [row.record.replace(/\.specimen\.json$/, ''), row]));
  return ({ catalogue }, stem) => {
    const row = known.get(stem);
    if (row === undefined || row.piece === '')
      throw new RecordError('repeat-by', `${path} names no piece for ${stem}.`);
    return { piece: row.piece, observer: row.observer || catalogue.observer };
  };
}
