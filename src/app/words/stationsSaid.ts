/** Stations, rising, percent of the length; or one sentence on why what was typed is none. */
export type SaidStations =
  | { readonly kind: 'stations'; readonly stations: readonly number[] }
  | { readonly kind: 'amiss'; readonly why: string };

const MOST = 50;
const FORM = 'Percentages above 0 and below 100, each once, such as 25, 50, 75.';

/**
 * What somebody says who types `text`: percentages parted by commas, semicolons or spaces. A comma without a space between two
 * numbers is a decimal one where semicolons part the numbers; alone it may be either, and is asked about.
 */
export function stationsSaid(text: string): SaidStations {
  const words = text.split(/[\s;]+|,(?=\s|$)/).filter((word) => word !== '');
  const stations: number[] = [];
  for (const word of words) {
    const parts = word.split(',');
    if (parts.length !== 2) stations.push(...parts.map(numberOf));
    else if (text.includes(';')) stations.push(numberOf(parts.join('.')));
    else {
      const [a, b] = parts;
      return amiss(
        `${word} may be ${a}.${b}, or ${a} and ${b}: write ${a}.${b}, or ${a}, ${b} with a space.`,
      );
    }
  }
  const sound = stations.every((station) => station > 0 && station < 100);
  if (!sound || new Set(stations).size < stations.length || stations.length > MOST) return amiss(FORM);
  return { kind: 'stations', stations: stations.sort((a, b) => a - b) };
}

function numberOf(text: string): number {
  return text === '' ? Number.NaN : Number(text);
}

function amiss(why: string): SaidStations {
  return { kind: 'amiss', why };
}
