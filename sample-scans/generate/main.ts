import { writeFile } from 'node:fs/promises';
import { manifest, PIECES } from './drawer.ts';
import { scanPiece } from './scan.ts';

/** Writes every scan, its truth and the manifest into `folder`. With names, only those pieces. */
export async function writeSamples(folder: string, names: readonly string[] = []): Promise<void> {
  for (const piece of PIECES) {
    if (names.length > 0 && !names.includes(piece.name)) continue;
    const { scan, truth, triangles } = scanPiece(piece);
    await writeFile(`${folder}/${piece.name}.${piece.format}`, scan);
    await writeFile(`${folder}/${piece.name}.truth.json`, truth);
    console.log(
      `${piece.name}.${piece.format}: ${triangles} triangles, ${(scan.length / 1e6).toFixed(2)} MB`,
    );
  }
  await writeFile(`${folder}/drawer.json`, `${JSON.stringify(manifest(), null, 2)}\n`);
}
