import { readFile, stat } from 'node:fs/promises';
import type { Hooks, Warning } from '../src/geometry/types.ts';
import { isPhoto } from '../src/intake/photoHeader.ts';
import { IntakeError } from '../src/intake/types.ts';
import type { Measurement } from '../src/measures/types.ts';
import type { ViewFile } from '../src/record/measurePhoto.ts';
import { baseName } from '../src/record/measureScan.ts';
import type { MeshKind } from '../src/record/meshFile.ts';
import type { Catalogue } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';
import { type MeasureJob, runMeasureJob } from './engine.ts';
import { type JobFailure, toFailure } from './failure.ts';
import type { OutputKind } from './outputKinds.ts';
import { type Measured, type Output, outputsOf } from './outputs.ts';

/** One scan or photograph on disk to be measured, and what is wanted of it. */
export interface FileJob {
  readonly path: string;
  readonly settings: AllSettings;
  readonly kinds: readonly OutputKind[];
  /** Further photographs of the piece in `path`, which then shows its Face A. */
  readonly views?: readonly { readonly view: ViewFile['view']; readonly path: string }[];
  /** The surface is wanted too, oriented, in this format. */
  readonly mesh?: MeshKind | undefined;
  /** What an analyst recorded of the piece. */
  readonly catalogue?: Catalogue;
}

export interface FileMeasured {
  readonly outputs: readonly Output[];
  readonly measurements: readonly Measurement[];
  readonly warnings: readonly Warning[];
}

export type FileOutcome =
  | { readonly ok: true; readonly measured: FileMeasured }
  | { readonly ok: false; readonly failure: JobFailure };

export type Progress = (fraction: number, step: string) => void;

/** Reads, measures and renders one file; writes nothing. A fault comes back as data, never as a throw. */
export async function runFileJob(job: FileJob, progress: Progress = () => {}): Promise<FileOutcome> {
  try {
    const bytes = await bytesOf(job.path);
    const { settings, catalogue = {}, views } = job;
    const measureJob = { bytes, fileName: baseName(job.path), settings, catalogue };
    const measured = await (isPhoto(bytes) || views !== undefined
      ? measureFromPhoto(measureJob, { progress }, views)
      : runMeasureJob(measureJob, { progress }));
    const { measurements, warnings } = measured.record;
    return {
      ok: true,
      measured: { outputs: outputsOf(measured, job.kinds, job.mesh), measurements, warnings },
    };
  } catch (error) {
    return { ok: false, failure: unreadable(error, job.path) ?? toFailure(error) };
  }
}

async function bytesOf(path: string): Promise<Uint8Array> {
  // A pipe or a device has no end that can be waited for.
  const entry = await stat(path);
  if (!entry.isFile()) throw new IntakeError('not-a-file', notAFile(entry.isDirectory()));
  return readFile(path);
}

/** What measures photographs is a third of the engine: only what is one waits for it. */
async function measureFromPhoto(
  job: MeasureJob,
  hooks: Hooks,
  views: FileJob['views'] = [],
): Promise<Measured> {
  const { measurePhotoJob } = await import('./photoJob.node.ts');
  const files: ViewFile[] = [];
  for (const { view, path } of views) {
    files.push({ view, bytes: await bytesOf(path), fileName: baseName(path) });
  }
  return measurePhotoJob(job, files, hooks);
}

function notAFile(folder: boolean): string {
  return folder ? 'This is a folder: name the scans in it.' : 'This is no file but a pipe or a device.';
}

/** The system's own words for a file that can't be had, as a sentence. */
function unreadable(error: unknown, path: string): JobFailure | undefined {
  if (!(error instanceof Error) || !('syscall' in error) || !('code' in error)) return undefined;
  const reasons: Readonly<Record<string, string>> = {
    ENOENT: 'There is no such file.',
    EACCES: 'The file may not be read.',
    ENOTDIR: 'There is no such file.',
    ELOOP: 'The file is a link that leads to itself.',
    ERR_FS_FILE_TOO_LARGE: 'The file is over 2 GiB, more than can be read at once.',
  };
  const code = String(error.code);
  return {
    name: 'IntakeError',
    code: 'file-unreadable',
    message: reasons[code] ?? `${path}: ${error.message}`,
  };
}
