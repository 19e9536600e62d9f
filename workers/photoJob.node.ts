import type { Hooks } from '../src/geometry/types.ts';
import { decodeInNode } from '../src/intake/photoNode.ts';
import { measurePhoto, type ViewFile } from '../src/record/measurePhoto.ts';
import type { MeasureJob } from './engine.ts';
import { loadOpencv } from './opencv.node.ts';
import type { Measured } from './outputs.ts';

/** Measures a photograph and the further views of the same piece, where Node decodes them. */
export async function measurePhotoJob(
  { bytes, fileName, settings, catalogue = {} }: MeasureJob,
  views: readonly ViewFile[],
  hooks: Hooks,
): Promise<Measured> {
  const { cv } = await loadOpencv();
  return measurePhoto(bytes, fileName, settings, { decode: decodeInNode, cv }, hooks, catalogue, views);
}
