import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { readTypefaces, type Typefaces } from './typefaces.ts';

const FILES = {
  regular: '@expo-google-fonts/source-sans-3/400Regular/SourceSans3_400Regular.ttf',
  semibold: '@expo-google-fonts/source-sans-3/600SemiBold/SourceSans3_600SemiBold.ttf',
} as const;

/** The plate's type, read from the installed packages. */
export async function typefacesInNode(): Promise<Typefaces> {
  const { resolve } = createRequire(import.meta.url);
  const [regular, semibold] = await Promise.all([
    readFile(resolve(FILES.regular)),
    readFile(resolve(FILES.semibold)),
  ]);
  return readTypefaces({ regular, semibold });
}
