const LONGEST = 60;

/** A text of a file, short and on one line, for a message. */
export function clipped(text: string, longest = LONGEST): string {
  const plain = text.slice(0, longest + 1).replace(/[\p{Control}\p{Surrogate}\p{Zl}\p{Zp}]/gu, '·');
  return plain.length > longest ? `${plain.slice(0, longest)}…` : plain;
}

/** Any value of a JSON text for a message: what nests is named by its kind, because it may nest without end. */
export function shown(value: unknown): string {
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return 'an object';
  return clipped(JSON.stringify(value) ?? 'nothing');
}
