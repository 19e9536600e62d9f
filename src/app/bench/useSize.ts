import { type RefObject, startTransition, useLayoutEffect, useState } from 'react';

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Size of an element's content in CSS pixels; 0 × 0 before the first layout. */
export function useSize(element: RefObject<Element | null>): Size {
  const [size, setSize] = useState<Size>({ width: 0, height: 0 });
  useLayoutEffect(() => {
    if (element.current === null) return;
    const observer = new ResizeObserver(([entry]) => {
      const { width, height } = entry.contentRect;
      // Several views are laid out at once: drawn between other work, they hold nothing up.
      startTransition(() => setSize({ width: Math.floor(width), height: Math.floor(height) }));
    });
    observer.observe(element.current);
    return () => observer.disconnect();
  }, [element]);
  return size;
}
