import { useLayoutEffect } from 'react';
import { parseRoute } from '../state/route.ts';
import { useWorkbench } from '../workbench.ts';
import { type LaidOut, neverLaidOut } from './useRowWindow.ts';

/** Where one was in the drawer: it is found so again when one comes back from elsewhere. */
export interface DrawerPlace {
  readonly own: LaidOut;
  readonly demos: LaidOut;
  /** CSS px. */
  scrolledTo: number;
  /** Files of the queue that were shown. */
  queued: number;
  /** The piece whose card has, or had, the focus. */
  focused: string | null;
  /** The piece whose card is to have the focus as soon as it is there, and whether it is to be scrolled to. */
  wanted: { readonly piece: string; readonly scroll: boolean } | null;
}

/** A card with its picture, as a first guess, CSS px. */
const CARD = 400;

export function createDrawerPlace(): DrawerPlace {
  return {
    own: neverLaidOut(CARD),
    demos: neverLaidOut(CARD),
    scrolledTo: 0,
    queued: 0,
    focused: null,
    wanted: null,
  };
}

/**
 * Scrolls to where one was. The browser's own way back comes too early: it scrolls before the drawer is drawn, as far as
 * the place that is left is long.
 */
export function useScrolledPlace(): DrawerPlace {
  const { drawerPlace: place } = useWorkbench();
  useLayoutEffect(() => {
    if (place.scrolledTo > 0) window.scrollTo(0, place.scrolledTo);
    const remember = (): void => {
      // Going back from here the browser scrolls while the drawer is still on show.
      if (parseRoute(location.hash).place === 'drawer') place.scrolledTo = window.scrollY;
    };
    window.addEventListener('scroll', remember, { passive: true });
    return () => {
      window.removeEventListener('scroll', remember);
      place.wanted = place.focused === null ? null : { piece: place.focused, scroll: false };
    };
  }, [place]);
  return place;
}
