import type { Drawing, Metadata } from './drawing.ts';

/** What a PNG of a drawing says of itself, by the standard's keywords. */
export function pngWords({ metadata }: Drawing): Record<string, string> {
  const { title, engine, scale, subjects, settings } = metadata;
  return {
    Title: title,
    Description: `${subjects.join('; ')}. Scale ${scale}; settings SHA-256 ${settings}`,
    Software: engine,
  };
}

/** Title of a plate of these pieces. */
export function plateTitle(subjects: readonly string[], scale: string): string {
  return subjects.length === 1
    ? `${subjects[0]}, plate at ${scale}`
    : `Plate of ${subjects.length} pieces at ${scale}`;
}

/** What a file of several pages says of itself: the pages share scale and settings, the pieces are those of all. */
export function metadataOfAll(pages: readonly Drawing[]): Metadata {
  const [{ metadata }] = pages;
  if (pages.length === 1) return metadata;
  const subjects = pages.flatMap((page) => page.metadata.subjects);
  return { ...metadata, subjects, title: plateTitle(subjects, metadata.scale) };
}
