import { NumberBox } from '../../frame/NumberBox.tsx';

interface StretchEndsProps {
  readonly from: number;
  readonly to: number;
  /** Length of the margin, mm. */
  readonly whole: number;
  readonly onSettled: (from: number, to: number) => void;
}

/** Both ends of a stretch of margin, mm of arc length. */
export function StretchEnds({ from, to, whole, onSettled }: StretchEndsProps) {
  return (
    <>
      <NumberBox
        pause={350}
        label="from, mm"
        value={from}
        step={0.1}
        least={0}
        most={whole}
        onSettled={(typed) => onSettled(typed, to)}
      />
      <NumberBox
        pause={350}
        label="to, mm"
        value={to}
        step={0.1}
        least={0}
        most={whole}
        onSettled={(typed) => onSettled(from, typed)}
      />
    </>
  );
}
