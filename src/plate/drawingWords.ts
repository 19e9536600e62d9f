import type { Drawing } from './drawing.ts';

/** What a PNG of a drawing says of itself, by the standard's keywords. */
export function pngWords({ metadata }: Drawing): Record<string, string> {
  const { title, engine, scale, subjects, settings } = metadata;
  return {
    Title: title,
    Description: `${subjects.join('; ')}. Scale ${scale}; settings SHA-256 ${settings}`,
    Software: engine,
  };
}
