const PLURALS: Readonly<Record<string, string>> = { vertex: 'vertices', property: 'properties' };

/** `1 triangle`, `2 vertices`, `12 000 bytes`. */
export function count(n: number, noun: string): string {
  const digits = n >= 10_000 ? String(n).replace(/\B(?=(\d{3})+(?!\d))/g, ' ') : String(n);
  return `${digits} ${n === 1 ? noun : (PLURALS[noun] ?? `${noun}s`)}`;
}

/** A word of the file, short and printable, for a message. */
export function clip(word: string | undefined, length = 24): string {
  const printable = (word ?? '').replace(/[^\x20-\x7e]/g, '·');
  return printable.length > length ? `${printable.slice(0, length)}…` : printable;
}
