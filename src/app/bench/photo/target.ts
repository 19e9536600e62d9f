import { createContext, useContext } from 'react';
import type { Photograph, ViewLines } from '../../../../workers/messages.ts';
import type { AllSettings } from '../../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../../trace/settings.ts';
import type { Correction, PhotoSettings, ViewName, ViewSettings } from '../../../trace/types.ts';
import type { BenchState } from '../../state/benchState.ts';
import type { Asked } from '../../state/settingsHistory.ts';
import { shownViews, tellView } from '../../state/views.ts';
import type { Workbench } from '../../workbench.ts';
import { NO_CORRECTIONS } from './brush.ts';

/** What may be told of a single photograph. */
export type Told = Asked<Omit<PhotoSettings, 'views' | 'flipEdgeOn'> & Pick<ViewSettings, 'edge'>>;

/** The corrections of one photograph's outline in some state of the settings. */
export function correctionsOf({ photo }: AllSettings, view: ViewName | 'A'): readonly Correction[] {
  const told = view === 'A' ? photo : photo?.views?.find((one) => one.view === view);
  return told?.corrections ?? NO_CORRECTIONS;
}

/** One photograph of the piece on the bench, what was found in it, and where to tell more of it. */
export interface PhotoTarget {
  readonly view: ViewName | 'A';
  /** Its name among the further photographs; empty for Face A. */
  readonly file: string;
  readonly photograph: Photograph;
  /** What was told of it. A view without a method has the scale of Face A. */
  readonly told: Partial<PhotoSettings> & Pick<ViewSettings, 'edge'>;
  /** Number of the candidate that is measured, from 1; 0 while none is. */
  readonly chosen: number;
  /** What was traced in a further photograph. */
  readonly lines: ViewLines | null;
  readonly change: (told: Told) => void;
}

/** All photographs on the bench, Face A first; a further one stands here as soon as its picture is read. */
export function photoTargets(
  { photograph, views, measured, history }: Pick<BenchState, 'photograph' | 'views' | 'measured' | 'history'>,
  { bench }: Workbench,
): readonly PhotoTarget[] {
  if (photograph === null) return [];
  const told = { ...DEFAULT_PHOTO_SETTINGS, ...history.present.photo };
  const source = measured?.record.source;
  const faceA: PhotoTarget = {
    view: 'A',
    file: '',
    photograph,
    told,
    chosen: source?.kind === 'photo' ? source.boundary.piece : 0,
    lines: null,
    change: ({ edge: _, ...asked }) => bench.change('photo', asked),
  };
  const others = shownViews(history.present).flatMap((told): PhotoTarget[] => {
    const { view, file } = told;
    const seen = views[file];
    if (seen === undefined) return [];
    const lines = measured?.views?.[file] ?? null;
    const change = (asked: Told): void => {
      const { photo } = bench.getState().history.present;
      bench.change('photo', { views: tellView(photo?.views ?? [], view, asked) });
    };
    return [{ view, file, photograph: seen, told, chosen: lines?.piece ?? 0, lines, change }];
  });
  return [faceA, ...others];
}

export const PhotoTargetContext = createContext<PhotoTarget | null>(null);

export function usePhotoTarget(): PhotoTarget {
  const target = useContext(PhotoTargetContext);
  if (target === null) throw new Error('used outside a photograph');
  return target;
}
