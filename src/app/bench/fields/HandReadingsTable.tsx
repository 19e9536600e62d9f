import { unitSlip } from '../../../drawer/unitSlip.ts';
import { roughOf, roughSign } from '../../../record/rough.ts';
import { NumberBox } from '../../frame/NumberBox.tsx';
import { HAND_READINGS, type HandReadings } from '../../state/handReadings.ts';
import type { Piece } from '../../state/pieces.ts';
import { printNumber } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';

const NAMES = { length: 'Length', width: 'Width', thickness: 'Thickness' } as const;

/** Caliper readings beside the computed values. A balance has nothing to be compared with: its mass goes into the thinning index. */
export function HandReadingsTable({ piece }: { piece: Piece }) {
  const { pieces, bench } = useWorkbench();
  const record = useBench((state) => state.measured?.record);
  // A setting like any other: what Undo takes back must not stay in the box.
  const { density, mass } = useBench((state) => state.history.present.measure);
  const { hand } = piece;
  const write = (asked: { readonly [K in keyof HandReadings]: HandReadings[K] | undefined }): void => {
    const next = Object.entries({ ...hand, ...asked }).filter(([, value]) => value !== undefined);
    pieces.edit(piece.id, { hand: Object.fromEntries(next) });
  };
  const computed = (id: string): number | undefined => {
    const value = record?.measurements.find((measurement) => measurement.id === id)?.value;
    return typeof value === 'number' ? value : undefined;
  };
  const signOf = (id: string): string => {
    const measurement = record?.measurements.find((one) => one.id === id);
    return roughSign(measurement && roughOf(measurement));
  };
  const pairs = HAND_READINGS.flatMap((id): (readonly [number, number])[] => {
    const [read, found] = [hand[id], computed(id)];
    return read !== undefined && read > 0 && found !== undefined ? [[read, found]] : [];
  });
  const slip = unitSlip(pairs);
  return (
    <div className="hand">
      <h3>Read by hand</h3>
      <table>
        <thead>
          <tr>
            <th scope="col">mm</th>
            <th scope="col">Caliper</th>
            <th scope="col">Computed</th>
            <th scope="col">Difference</th>
          </tr>
        </thead>
        <tbody>
          {HAND_READINGS.map((id) => {
            const [read, found] = [hand[id], computed(id)];
            return (
              <tr key={id}>
                <th scope="row">{NAMES[id]}</th>
                <td>
                  <Reading
                    label={`${NAMES[id]} by caliper, mm`}
                    value={read}
                    onRead={(value) => write({ [id]: value })}
                  />
                </td>
                <td>{found === undefined ? '–' : signOf(id) + printNumber(found, 2)}</td>
                <td>
                  {read === undefined || found === undefined
                    ? '–'
                    : `${printNumber(found - read, 2)} (${printNumber((100 * (found - read)) / read, 1)}\u202f%)`}
                </td>
              </tr>
            );
          })}
          <tr>
            <th scope="row">Mass, g</th>
            <td>
              <Reading
                label="Mass by balance, g"
                value={mass}
                onRead={(weighed) => bench.change('measure', { mass: weighed })}
              />
            </td>
            <td colSpan={2} className="soft">
              used for the thinning index
            </td>
          </tr>
          <tr>
            <th scope="row">Density, g/cm³</th>
            <td>
              <Reading
                label="Density of the stone, g/cm³"
                value={density}
                onRead={(said) => bench.change('measure', { density: said })}
              />
            </td>
            <td colSpan={2} className="soft">
              used for the estimated mass
            </td>
          </tr>
        </tbody>
      </table>
      {slip !== null && (
        <p className="hand-slip" role="alert">
          All readings differ by the same factor: {slip} were probably mixed up. Check the unit of the file
          above.
        </p>
      )}
    </div>
  );
}

interface ReadingProps {
  readonly label: string;
  readonly value: number | undefined;
  readonly onRead: (value: number | undefined) => void;
}

function Reading({ label, value, onRead }: ReadingProps) {
  return (
    <NumberBox
      label={label}
      labelUnseen
      above={0}
      value={value}
      onSettled={onRead}
      onEmptied={() => onRead(undefined)}
    />
  );
}
