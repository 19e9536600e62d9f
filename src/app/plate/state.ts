import { createStore } from 'zustand/vanilla';
import { DEFAULT_STYLE, type PlateStyle, readStyle, verifyStyle } from '../../plate/plateStyle.ts';

/** In which order the chosen pieces are drawn and numbered. */
export const ORDERS = {
  drawer: 'As in the drawer',
  number: 'By catalogue number',
  length: 'Longest first',
} as const;
export type PieceOrder = keyof typeof ORDERS;

/** Styles that are always there. */
export const READY_STYLES: readonly PlateStyle[] = [
  DEFAULT_STYLE,
  {
    ...DEFAULT_STYLE,
    name: 'line drawing',
    face: 'arrises',
    midline: false,
    hatch: true,
    sections: 'beside',
  },
  {
    ...DEFAULT_STYLE,
    name: 'figure for a text',
    trim: true,
    border: 5,
    legend: false,
    caption: false,
    caution: false,
  },
  { ...DEFAULT_STYLE, name: 'type series', layout: 'faces', scale: '1:2', type: { number: 3, text: 2.2 } },
];

export interface PlateState {
  /** Ids of the pieces to be drawn; null as long as nothing was chosen. */
  readonly ids: readonly string[] | null;
  readonly order: PieceOrder;
  readonly page: number;
  readonly style: PlateStyle;
  /** Styles that were named and kept, by name. */
  readonly own: readonly PlateStyle[];
}

const KEY = 'knapgauge.plate';

export type PlateStore = ReturnType<typeof createPlate>;

/** What the plate shows and how. Styles are kept in the browser where it allows that; what is damaged there is left out. */
export function createPlate(keep: Pick<Storage, 'getItem' | 'setItem'> | undefined = storage()) {
  const kept = readKept(keep);
  const store = createStore<PlateState>(() => ({ ids: null, order: 'drawer', page: 0, ...kept }));
  const { getState, setState } = store;
  store.subscribe(({ style, own }, before) => {
    if (style === before.style && own === before.own) return;
    try {
      keep?.setItem(KEY, JSON.stringify({ style, own }));
    } catch {
      // A browser that keeps nothing still draws.
    }
  });
  const keepOwn = (style: PlateStyle): void =>
    setState(({ own }) => ({
      style,
      own: [...own.filter(({ name }) => name !== style.name), style].sort((a, b) =>
        a.name.localeCompare(b.name),
      ),
    }));

  return {
    ...store,
    change: (asked: Partial<PlateStyle>): void =>
      setState(({ style }) => ({ style: { ...style, ...asked }, page: 0 })),
    choose: (ids: readonly string[]): void => setState({ ids, page: 0 }),
    reorder: (order: PieceOrder): void => setState({ order, page: 0 }),
    turnTo: (page: number): void => setState({ page }),
    /** Takes a style by its name. */
    take(name: string): void {
      const style = stylesOf(getState()).find((one) => one.name === name);
      if (style !== undefined) setState({ style, page: 0 });
    },
    /** Keeps the style as it is now under a name of one's own. Throws a sentence where the name can't be used. */
    keepAs(name: string): void {
      if (isReady(name)) throw new Error(`“${name}” is a style that is always there: choose another name.`);
      keepOwn(verifyStyle({ ...getState().style, name }));
    },
    /** Takes in the text of a style file. Throws a sentence. */
    bring(text: string): void {
      const style = readStyle(text);
      keepOwn(isReady(style.name) ? { ...style, name: `${style.name} (own)` } : style);
    },
    remove: (name: string): void =>
      setState(({ own }) => ({ own: own.filter((style) => style.name !== name) })),
  };
}

const isReady = (name: string): boolean => READY_STYLES.some((style) => style.name === name);

/** Every style there is to choose from. */
export function stylesOf({ own }: Pick<PlateState, 'own'>): readonly PlateStyle[] {
  return [...READY_STYLES, ...own];
}

/** Something in the style differs from what is kept under its name. */
export function isChanged({ style, own }: Pick<PlateState, 'style' | 'own'>): boolean {
  const kept = stylesOf({ own }).find(({ name }) => name === style.name);
  return kept === undefined || JSON.stringify(verifyStyle(kept)) !== JSON.stringify(verifyStyle(style));
}

/** A style as a file, which `knapgauge plate --style` reads as well. */
export const styleFile = (style: PlateStyle): string => `${JSON.stringify(style, null, 2)}\n`;

function storage(): Storage | undefined {
  try {
    return globalThis.localStorage;
  } catch {
    return undefined;
  }
}

function readKept(keep: Pick<Storage, 'getItem'> | undefined): Pick<PlateState, 'style' | 'own'> {
  const sound = (value: unknown): PlateStyle[] => {
    try {
      return [verifyStyle(value)];
    } catch {
      return [];
    }
  };
  try {
    const { style, own }: { style?: unknown; own?: unknown } = JSON.parse(keep?.getItem(KEY) ?? '{}');
    return {
      style: (style === undefined ? [] : sound(style))[0] ?? DEFAULT_STYLE,
      own: Array.isArray(own) ? own.flatMap(sound).filter(({ name }) => !isReady(name)) : [],
    };
  } catch {
    return { style: DEFAULT_STYLE, own: [] };
  }
}
