/** The worst of what happened decides. */
export const EXIT = {
  /** Every file was dealt with; warnings may have been printed. */
  fine: 0,
  /** The program itself failed. */
  fault: 1,
  /** The command was not understood, or its settings can't be used. */
  usage: 2,
  /** At least one file could not be read, traced, checked or written. */
  file: 3,
} as const;

/** Faults outrank bad files, and bad files outrank nothing. */
export function worst(codes: readonly number[]): number {
  return [EXIT.fault, EXIT.usage, EXIT.file].find((code) => codes.includes(code)) ?? EXIT.fine;
}
