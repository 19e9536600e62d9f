import { printNumber } from '../words/values.ts';

/** The two ways on with a scan that memory may not suffice for. */
export function MemoryWays({
  thinTo,
  onThin,
  onWhole,
  name = '',
}: {
  readonly thinTo: number | undefined;
  readonly onThin: (triangles: number) => void;
  readonly onWhole: () => void;
  /** Of the file, where several stand side by side. */
  readonly name?: string;
}) {
  return (
    <>
      {thinTo !== undefined && (
        <button
          type="button"
          className="button button-main"
          aria-label={name === '' ? undefined : `Thin ${name} to ${printNumber(thinTo, 0)} triangles`}
          onClick={() => onThin(thinTo)}
        >
          Thin to {printNumber(thinTo, 0)} triangles
        </button>
      )}
      <button
        type="button"
        className="button"
        aria-label={name === '' ? undefined : `Try ${name} whole`}
        onClick={onWhole}
      >
        Try whole
      </button>
    </>
  );
}
