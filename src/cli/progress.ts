import { plain } from './table.ts';

/** One line on a terminal, rewritten in place; nothing at all where the output is not a terminal. */
export interface ProgressLine {
  show(text: string): void;
  clear(): void;
}

const REDRAW_MS = 80;

export function progressLine(stream: NodeJS.WriteStream, wanted: boolean): ProgressLine {
  if (!wanted || !stream.isTTY) return { show: () => {}, clear: () => {} };
  let drawn = -Infinity;
  return {
    show(text) {
      const now = performance.now();
      if (now - drawn < REDRAW_MS) return;
      drawn = now;
      stream.write(`\r\u001b[K${plain(text).slice(0, (stream.columns || 80) - 1)}`);
    },
    clear() {
      if (drawn > -Infinity) stream.write('\r\u001b[K');
      drawn = -Infinity;
    },
  };
}
