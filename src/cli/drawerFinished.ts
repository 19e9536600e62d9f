import { join } from 'node:path';
import type { FileJob } from '../../workers/fileJob.ts';
import { meshEnding } from '../../workers/outputs.ts';
import { ENGINE } from '../record/engine.ts';
import { baseName } from '../record/measureScan.ts';
import type { SourceFile } from '../record/schema.ts';
import { settingsInRecord } from '../record/viewSettings.ts';
import type { ListedPiece } from './drawerPieces.ts';
import { isThere, PIECES, recordHead, sha256Of } from './drawerResults.ts';

/** Whether a piece was measured before from the same files, with the same settings and description, by the same version. */
export async function isFinished(out: string, { name }: ListedPiece, job: FileJob): Promise<boolean> {
  const record = await recordHead(out, name);
  if (
    record === undefined ||
    record.engine.version !== ENGINE.version ||
    record.engine.commit !== ENGINE.commit
  )
    return false;
  const { source } = record;
  const wanted = source.kind === 'scan' ? job.mesh : undefined;
  if (wanted !== undefined && !(await isThere(join(out, PIECES, name + meshEnding(wanted))))) return false;
  const same = (a: unknown, b: unknown): boolean => canonical(a) === canonical(b);
  const views = job.views ?? [];
  const settings = settingsInRecord(
    job.settings,
    source.kind,
    views.map(({ view }) => view),
  );
  if (!same(record.settings, settings) || !same(record.catalogue, job.catalogue ?? {})) return false;
  const measured = source.kind === 'photo' ? source.views : [];
  if (measured.length !== views.length || !(await isOf(source, job.path))) return false;
  for (const { view, path } of views) {
    const one = measured.find((other) => other.view === view);
    if (one === undefined || !(await isOf(one, path))) return false;
  }
  return true;
}

/** Whether what was measured is still the very file, by its name and bytes. */
async function isOf({ file, sha256 }: Pick<SourceFile, 'file' | 'sha256'>, path: string): Promise<boolean> {
  return file === baseName(path) && sha256 === (await sha256Of(path).catch(() => undefined));
}

/** JSON with its keys in order. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_, inner: unknown) =>
    inner !== null && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).toSorted(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}
