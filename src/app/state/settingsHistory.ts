import { type AllSettings, DEFAULT_SETTINGS } from '../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../trace/settings.ts';
import type { PhotoSettings } from '../../trace/types.ts';

/** Settings with everything that was asked before, so that one can go all the way back. */
export interface SettingsHistory {
  readonly past: readonly AllSettings[];
  readonly present: AllSettings;
  readonly future: readonly AllSettings[];
}

export const UNTOUCHED: SettingsHistory = { past: [], present: DEFAULT_SETTINGS, future: [] };

/** Settings that are asked for; undefined takes a setting out, so that the program decides. */
export type Asked<T> = { readonly [K in keyof T]?: T[K] | undefined };

/** One part of the settings changed; a change that changes nothing leaves the history as it is. */
export function change<Part extends keyof AllSettings>(
  history: SettingsHistory,
  part: Part,
  asked: Asked<NonNullable<AllSettings[Part]>>,
): SettingsHistory {
  const said = Object.entries({ ...whole(history.present)[part], ...asked }).filter(
    ([, value]) => value !== undefined,
  );
  const present: AllSettings = { ...history.present, [part]: Object.fromEntries(said) };
  return same(present, history.present) ? history : moveTo(history, present);
}

/** Several parts changed at once, to be undone at once. */
export function changeTogether(history: SettingsHistory, parts: Partial<AllSettings>): SettingsHistory {
  const present: AllSettings = { ...history.present, ...parts };
  return same(present, history.present) ? history : moveTo(history, present);
}

/** Back to how the piece was laid on the bench first, with its photographs; can be undone like any other change. */
export function automatic(history: SettingsHistory): SettingsHistory {
  return isAutomatic(history) ? history : moveTo(history, untouched(history));
}

/**
 * What the piece began with. Photographs that were added since stay, and lose what else was told of them; so does a scale
 * that the program could not know stay: without it nothing would be measured.
 */
function untouched({ past, present }: SettingsHistory): AllSettings {
  const first = past[0] ?? present;
  if (present.photo === undefined) return first;
  const began = { ...DEFAULT_PHOTO_SETTINGS, ...first.photo };
  const photo = { ...began, ...(began.method === 'auto' ? toldScale(present.photo) : {}) };
  const { views } = present.photo;
  if (views === undefined) return { ...first, photo };
  const told = first.photo?.views ?? [];
  const kept = views.map((now) => {
    const { view, file } = now;
    const before = told.find((other) => other.view === view && other.file === file);
    return before ?? { view, ...(file === undefined ? {} : { file }), ...toldScale(now) };
  });
  return { ...first, photo: { ...photo, views: kept } };
}

const SCALE_FACTS = ['method', 'printedBar', 'block', 'points', 'length', 'pxPerMm', 'thickness'] as const;

function toldScale(told: Partial<PhotoSettings>): Partial<PhotoSettings> {
  return Object.fromEntries(
    SCALE_FACTS.flatMap((fact) => (told[fact] === undefined ? [] : [[fact, told[fact]]])),
  );
}

export function undo(history: SettingsHistory): SettingsHistory {
  const present = history.past.at(-1);
  if (present === undefined) return history;
  return { past: history.past.slice(0, -1), present, future: [history.present, ...history.future] };
}

export function redo(history: SettingsHistory): SettingsHistory {
  const [present, ...future] = history.future;
  if (present === undefined) return history;
  return { past: [...history.past, history.present], present, future };
}

export function isAutomatic(history: SettingsHistory): boolean {
  return same(history.present, untouched(history));
}

function moveTo(history: SettingsHistory, present: AllSettings): SettingsHistory {
  return { past: [...history.past, history.present], present, future: [] };
}

/** Photographs have settings of their own, which no scan needs to carry. */
function whole(settings: AllSettings): Required<AllSettings> {
  return { photo: DEFAULT_PHOTO_SETTINGS, ...settings };
}

function same(a: AllSettings, b: AllSettings): boolean {
  const flat = (settings: AllSettings): string =>
    JSON.stringify(
      Object.values(whole(settings)).map((part: object) =>
        Object.entries(part).toSorted(([one], [other]) => (one < other ? -1 : 1)),
      ),
    );
  return flat(a) === flat(b);
}
