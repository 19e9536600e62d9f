import { type RefObject, useEffect } from 'react';

/** While a tool is in hand its layer has the keys; afterwards they go back to where they were. */
export function useTakenUp(layer: RefObject<HTMLElement | null>): void {
  useEffect(() => {
    const before = document.activeElement;
    layer.current?.focus();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true });
    };
  }, [layer]);
}
