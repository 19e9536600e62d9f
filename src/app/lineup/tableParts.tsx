import type { ReactNode } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import type { MeasureUnit } from '../../measures/types.ts';
import { unitSign } from '../words/values.ts';

/** The row of headings of a table of numbers; a heading may come with what it means. */
export function Headings({ names }: { names: readonly (string | readonly [name: string, what: string])[] }) {
  return (
    <thead>
      <tr>
        {names.map((heading) => {
          const [name, what] = typeof heading === 'string' ? [heading] : heading;
          return (
            <th key={name} scope="col" title={what}>
              {name}
            </th>
          );
        })}
      </tr>
    </thead>
  );
}

/** Beside the name of a piece that was measured in photographs: its scan may have the same number. */
export function PhotoMark({ collection, i }: { collection: Collection; i: number }) {
  return collection.groups.kind?.[i] === 'photo' && <span className="soft"> photo</span>;
}

interface RowButtonProps {
  readonly chosen: boolean;
  readonly disabled?: boolean;
  readonly onChoose: () => void;
  readonly children: ReactNode;
}

/** The head of a row that can be chosen. */
export function RowButton({ chosen, disabled, onChoose, children }: RowButtonProps) {
  return (
    <th scope="row">
      <button
        type="button"
        className="row-button"
        aria-pressed={chosen}
        disabled={disabled}
        onClick={onChoose}
      >
        {children}
      </button>
    </th>
  );
}

/** A measure's name with its unit. */
export function measureName({ name, unit }: { readonly name: string; readonly unit: MeasureUnit }): string {
  return unitSign(unit) === '' ? name : `${name}, ${unitSign(unit)}`;
}

interface SaveFilesProps<N extends string> {
  readonly files: readonly (readonly [N, string])[];
  readonly onSave: (name: N) => Promise<void>;
}

/** One button for each file that can be saved. */
export function SaveFiles<N extends string>({ files, onSave }: SaveFilesProps<N>) {
  return (
    <p className="figure-files">
      {files.map(([name, words]) => (
        <button key={name} type="button" className="button" onClick={() => void onSave(name)}>
          {words}
        </button>
      ))}
    </p>
  );
}
