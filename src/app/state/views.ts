import type { AllSettings } from '../../record/settings.ts';
import { VIEWS, type ViewName, type ViewSettings } from '../../trace/types.ts';

/** A further photograph that is kept with a piece. Which view of it that is stands in the settings, so that it can be undone. */
export interface FurtherPhoto {
  /** Unique among those of the piece; settings name it by this. */
  readonly id: string;
  readonly fileName: string;
  /** The file itself, when it was added in this session. */
  readonly file?: Blob;
  readonly open: () => Promise<Blob>;
}

/** What was told of the views that show a photograph. */
export type ShownView = ViewSettings & { readonly file: string };

/** The views of a piece, in their order, that have a photograph. */
export function shownViews({ photo }: AllSettings): readonly ShownView[] {
  const views = photo?.views ?? [];
  return VIEWS.flatMap((name) =>
    views.filter((view): view is ShownView => view.view === name && view.file !== undefined),
  );
}

/** Views of which there is no photograph yet. */
export function freeViews(settings: AllSettings): readonly ViewName[] {
  const taken = shownViews(settings).map(({ view }) => view);
  return VIEWS.filter((view) => !taken.includes(view));
}

/** A photograph becomes the one of a view; what showed that view before takes the place this one leaves. */
export function assignView(
  views: readonly ViewSettings[],
  file: string,
  view: ViewName,
): readonly ViewSettings[] {
  const before = views.find((told) => told.file === file);
  if (before === undefined) return [...views.filter((told) => told.view !== view), { view, file }];
  return views.map((told) => {
    if (told.file === file) return { ...told, view };
    return told.view === view ? { ...told, view: before.view } : told;
  });
}

/** Something is told of a view; undefined takes it back. */
export function tellView(
  views: readonly ViewSettings[],
  view: ViewName,
  asked: { readonly [Key in keyof ViewSettings]?: ViewSettings[Key] | undefined },
): readonly ViewSettings[] {
  return views.map((told) =>
    told.view !== view
      ? told
      : ({
          ...Object.fromEntries(
            Object.entries({ ...told, ...asked }).filter(([, value]) => value !== undefined),
          ),
          view,
        } as ViewSettings),
  );
}

/** Of the photographs kept with a piece those that some state of its settings, past or undone, still shows. */
export function photosInUse(
  further: readonly FurtherPhoto[],
  states: readonly AllSettings[],
): readonly FurtherPhoto[] {
  const used = new Set(states.flatMap((settings) => shownViews(settings).map(({ file }) => file)));
  return further.filter(({ id }) => used.has(id));
}
