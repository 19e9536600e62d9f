import { DEFAULT_SCALE_SETTINGS } from '../intake/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../trace/settings.ts';
import { type PhotoSettings, VIEWS, type ViewName, type ViewSettings } from '../trace/types.ts';
import type { Source } from './schema.ts';
import type { AllSettings } from './settings.ts';
import { ViewError } from './viewError.ts';

/** What is told of Face A that holds for the other photographs too. */
const SHARED = [
  'method',
  'printedBar',
  'printedBarUncertainty',
  'block',
  'length',
  'pxPerMm',
  'cameraDistance',
  'thickness',
] as const satisfies readonly (keyof PhotoSettings)[];

/** What was told of one view; nothing but its name where nothing was. */
export function toldOfView({ views = [] }: PhotoSettings, view: ViewName): ViewSettings {
  return views.find((told) => told.view === view) ?? { view };
}

/**
 * The settings under which one view is looked at: a scale of its own if it was told one, else that of Face A. Throws a
 * ViewError where that was told by two points: they are places of another picture.
 */
export function settingsOfView(photo: PhotoSettings, view: ViewName): PhotoSettings {
  const { view: _, file: __, edge: ___, piece = 1, method, ...own } = toldOfView(photo, view);
  const { corrections } = own;
  if (method !== undefined) {
    const { thickness } = photo;
    const rest = thickness === undefined ? {} : { thickness };
    return { ...DEFAULT_SCALE_SETTINGS, ...rest, ...own, method, piece };
  }
  if (photo.method === 'points') {
    throw new ViewError(
      view,
      'scale-missing',
      'The scale of Face A was told by two points of its own picture: this one needs a scale of its own.',
    );
  }
  const shared = SHARED.filter((key) => photo[key] !== undefined).map((key) => [key, photo[key]]);
  const corrected = corrections === undefined ? {} : { corrections };
  return { ...DEFAULT_PHOTO_SETTINGS, ...Object.fromEntries(shared), piece, ...corrected };
}

/** Settings as the record of a scan or a photograph keeps them; `measured` are the further views. */
export function settingsInRecord(
  { photo = DEFAULT_PHOTO_SETTINGS, ...settings }: AllSettings,
  kind: Source['kind'],
  measured: readonly ViewName[],
): AllSettings {
  return kind === 'photo' ? { ...settings, photo: recordedSettings(photo, measured) } : settings;
}

/** Of the views that were measured, and of those only what was told. */
function recordedSettings(photo: PhotoSettings, measured: readonly ViewName[]): PhotoSettings {
  const { views: _, ...rest } = photo;
  const views = VIEWS.filter((view) => measured.includes(view)).flatMap((view): ViewSettings[] => {
    const { file: __, ...told } = toldOfView(photo, view);
    return Object.keys(told).length > 1 ? [told] : [];
  });
  return views.length === 0 ? rest : { ...rest, views };
}
