import type { ViewName } from '../../trace/types.ts';

/** What the page calls a photograph of a piece by what it shows. */
export const VIEW_WORDS: Readonly<Record<ViewName | 'A', string>> = {
  A: 'Face A',
  B: 'Face B',
  left: 'Left edge',
  right: 'Right edge',
  tip: 'From the tip',
};
