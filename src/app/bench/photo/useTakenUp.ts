import { type RefObject, useEffect } from 'react';

/** While a tool is in hand that places are clicked with, the photograph has the keys; afterwards they go back to where they were. */
export function useTakenUp(box: RefObject<HTMLElement | null>, inHand: boolean): void {
  useEffect(() => {
    const photograph = box.current;
    if (!inHand || photograph === null) return;
    const before = document.activeElement;
    photograph.focus();
    return () => {
      // Who has gone on to another field by now stays there.
      if (document.activeElement !== photograph) return;
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true });
    };
  }, [box, inHand]);
}
