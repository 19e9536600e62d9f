import type { ViewPhoto } from '../../../workers/messages.ts';
import type { AllSettings } from '../../record/settings.ts';
import type { Piece } from './pieces.ts';
import { shownViews } from './views.ts';

/** The file of a piece and the photographs that its settings name, opened. Rejects where one can't be had. */
export async function filesOf(
  { open, further }: Piece,
  settings: AllSettings,
): Promise<{ readonly file: Blob; readonly views: readonly ViewPhoto[] }> {
  const opening = shownViews(settings).map(async ({ view, file }): Promise<ViewPhoto> => {
    const photo = further.find(({ id }) => id === file);
    if (photo === undefined) throw new Error(`view ${view} has no photograph`);
    return { view, file, blob: await photo.open(), fileName: photo.fileName };
  });
  const [file, ...views] = await Promise.all([open(), ...opening] as const);
  return { file, views };
}
