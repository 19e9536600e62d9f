/** What a number that is typed must be. */
export interface NumberBounds {
  readonly least?: number;
  readonly most?: number;
  /** It must be greater than this. */
  readonly above?: number;
}

/** A number, nothing at all, or one sentence on why what was typed is neither. */
export type Said =
  | { readonly kind: 'number'; readonly number: number }
  | { readonly kind: 'nothing' }
  | { readonly kind: 'amiss'; readonly why: string };

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** Digits, a comma, three digits: a decimal in one half of the world, thousands in the other. */
const EITHER = /^[+-]?[1-9]\d{0,2},\d{3}$/;

/**
 * What somebody says who types `text`. A comma is a decimal point, as most of the world writes it; where it may stand for
 * thousands as well it is asked about, since a guess would be wrong by a factor of 1000.
 */
export function numberSaid(text: string, { least, most, above }: NumberBounds): Said {
  const typed = text.trim().replace('\u2212', '-');
  if (typed === '') return { kind: 'nothing' };
  if (EITHER.test(typed)) {
    const why = `${typed} may be ${typed.replace(',', '.')} or ${typed.replace(',', '')}: write one of these.`;
    return { kind: 'amiss', why };
  }
  const plain = typed.replace(',', '.');
  const number = Number(plain);
  if (!NUMBER.test(plain) || !Number.isFinite(number)) {
    return { kind: 'amiss', why: `“${typed.slice(0, 20)}” is not a number.` };
  }
  if (above !== undefined && number <= above) return { kind: 'amiss', why: `It must be above ${above}.` };
  if (number < (least ?? -Infinity) || number > (most ?? Infinity)) {
    const [from, to] = [least, most].map((bound) => String(bound).replace('-', '\u2212'));
    const why =
      most === undefined
        ? `It must be ${from} or more.`
        : least === undefined
          ? `It must be ${to} or less.`
          : `It must be from ${from} to ${to}.`;
    return { kind: 'amiss', why };
  }
  return { kind: 'number', number };
}
