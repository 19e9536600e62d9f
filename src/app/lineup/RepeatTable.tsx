import type { RepeatMeasure } from '../../drawer/repeatTypes.ts';
import type { Icc, IccForm } from '../../drawer/statsIcc.ts';
import { short } from './DistributionView.tsx';
import { Headings, measureName, RowButton } from './tableParts.tsx';

const FORMS: readonly IccForm[] = ['1,1', '2,1', '3,1', '1,k', '2,k', '3,k'];

const HEADINGS: readonly (readonly [string, string])[] = [
  ['TEM', 'Technical error of measurement over all readings, in the unit of the measure'],
  ['%TEM', 'TEM, percent of the mean of all readings'],
  ['within', 'TEM of readings by the same observer'],
  ['between', 'TEM of the observers’ means'],
  ['u stated', 'Root mean square of the standard uncertainties that the records state'],
  ['reliability', '1 − TEM² over the variance of all readings'],
  ...FORMS.map(
    (form) =>
      [
        `ICC(${form})`,
        `Intraclass correlation (${form}), Shrout & Fleiss 1979; below it the 95 % interval`,
      ] as const,
  ),
];

interface RepeatTableProps {
  readonly measures: readonly RepeatMeasure[];
  readonly chosen: string;
  readonly onChoose: (id: string) => void;
}

/** What repeat measuring says of each measure of the table’s columns. */
export function RepeatTable({ measures, chosen, onChoose }: RepeatTableProps) {
  return (
    <section
      className="table-scroll"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, by keys as well
      tabIndex={0}
      aria-label="Repeat measurements"
    >
      <table className="numbers">
        <Headings names={['Measure', ...HEADINGS]} />
        <tbody>
          {measures.map((measure) => (
            <tr key={measure.id} data-picked={measure.id === chosen}>
              <RowButton chosen={measure.id === chosen} onChoose={() => onChoose(measure.id)}>
                {measureName(measure)}
              </RowButton>
              {numbersOf(measure).map((value, k) => (
                <td key={HEADINGS[k][0]}>{short(value)}</td>
              ))}
              {FORMS.map((form) => (
                <td key={form}>
                  <Correlation icc={measure.icc.find((one) => one.form === form)} />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function numbersOf({ all, intra, inter, statedU }: RepeatMeasure): readonly number[] {
  return [all.tem, all.percent, intra.tem, inter.tem, statedU, all.reliability];
}

function Correlation({ icc }: { icc: Icc | undefined }) {
  if (icc === undefined) return '–';
  const print = (value: number): string => value.toFixed(3).replace('-', '−');
  const { low, high } = icc.interval;
  return (
    <>
      {print(icc.value)}
      {Number.isFinite(low) && (
        <span className="interval">
          {print(low)}…{print(high)}
        </span>
      )}
    </>
  );
}
