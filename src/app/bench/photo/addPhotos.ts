import { viewFromName, viewFromOutline } from '../../../drawer/viewNames.ts';
import type { ViewName } from '../../../trace/types.ts';
import { assignView, type FurtherPhoto, freeViews } from '../../state/views.ts';
import type { Workbench } from '../../workbench.ts';

/** Pictures may be so large that their outline is not waited for longer, ms. */
const PATIENCE = 30_000;

/**
 * Adds photographs to the piece on the bench, each as the view that its name says, else as the one that its outline
 * looks like. Gives a sentence for what was not added; empty where all was.
 */
export async function addPhotos(
  { bench, pieces, photos }: Workbench,
  files: readonly File[],
): Promise<string> {
  const { piece, history } = bench.getState();
  if (piece === null || files.length === 0) return '';
  const free = [...freeViews(history.present)];
  const guessed = new Map<File, ViewName>();
  const take = (file: File, view: ViewName | null): void => {
    if (view === null) return;
    guessed.set(file, view);
    free.splice(free.indexOf(view), 1);
  };
  for (const file of files) take(file, viewFromName(file.name, free));
  const nameless = files.filter((file) => !guessed.has(file));
  if (nameless.length > 0 && free.length > 0) {
    const ofFaceA = await waited(photos.slenderness({ blob: await piece.open(), fileName: piece.fileName }));
    for (const file of nameless) {
      const its = await waited(photos.slenderness({ blob: file, fileName: file.name }));
      take(file, viewFromOutline(its, ofFaceA, free));
    }
  }
  const left = files.length - guessed.size;
  if (guessed.size > 0) lay({ bench, pieces }, piece.id, guessed);
  if (left === 0) return '';
  return guessed.size === 0
    ? 'Face B and both edges have a photograph: take one away first.'
    : `${left} more ${left === 1 ? 'was' : 'were'} not added: Face B and both edges have a photograph.`;
}

function lay(
  { bench, pieces }: Pick<Workbench, 'bench' | 'pieces'>,
  id: string,
  guessed: ReadonlyMap<File, ViewName>,
): void {
  const piece = pieces.find(id);
  // It may have been taken off the bench while its outlines were looked at.
  if (piece === undefined || bench.getState().piece?.id !== id) return;
  let views = bench.getState().history.present.photo?.views ?? [];
  const added: FurtherPhoto[] = [];
  for (const [file, view] of guessed) {
    const photo = { id: crypto.randomUUID(), fileName: file.name, file, open: async () => file };
    added.push(photo);
    views = assignView(views, photo.id, view);
  }
  const whole = { ...piece, further: [...piece.further, ...added] };
  pieces.hold(id, whole.further);
  bench.refresh(whole);
  bench.takeInHand([...guessed.values()][0]);
  bench.change('photo', { views });
}

function waited(asked: Promise<number | null>): Promise<number | null> {
  const late = new Promise<null>((resolve) => setTimeout(() => resolve(null), PATIENCE));
  return Promise.race([asked, late]);
}
