import type { Hooks } from '../src/geometry/types.ts';
import { readerReady, readScan } from '../src/intake/readScan.ts';
import type { Scan } from '../src/intake/types.ts';
import { measure } from '../src/measures/measure.ts';
import type { MeasureResult } from '../src/measures/types.ts';
import { baseName } from '../src/record/measureScan.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';
import { sha256Hex } from '../src/record/sha256.ts';
import { type FileFacts, scanSource, toRecord } from '../src/record/toRecord.ts';
import { traceScan } from '../src/trace/traceScan.ts';
import type { Model } from '../src/trace/types.ts';

/** One stage's last answer and what it was made from: asked again for the same, it is not made again. */
interface Kept<T> {
  readonly key: string;
  readonly value: T;
}

/**
 * The walk of a scan, stage by stage, keeping each stage's answer, so that a changed setting redoes only what depends
 * on it. The record is the same as measureScan makes from the same bytes and settings.
 */
export class Walk {
  readonly fileName: string;
  readonly #file: Blob;
  #facts: FileFacts | undefined;
  #scan: Kept<Scan> | undefined;
  #model: Kept<Model> | undefined;
  #result: Kept<MeasureResult> | undefined;

  constructor(file: Blob, fileName: string) {
    this.#file = file;
    this.fileName = fileName;
  }

  async read(settings: AllSettings, hooks: Hooks): Promise<Scan> {
    const key = JSON.stringify(settings.scan);
    if (this.#scan?.key === key) return this.#scan.value;
    const bytes = new Uint8Array(await this.#file.arrayBuffer());
    this.#facts ??= {
      file: baseName(this.fileName),
      sha256: await sha256Hex(bytes),
      bytes: bytes.byteLength,
    };
    await readerReady;
    hooks.signal?.throwIfAborted();
    this.#scan = { key, value: readScan(bytes, settings.scan, hooks) };
    return this.#scan.value;
  }

  trace(scan: Scan, settings: AllSettings, hooks: Hooks): Model {
    const key = JSON.stringify([settings.scan, settings.trace]);
    if (this.#model?.key === key) return this.#model.value;
    this.#model = { key, value: traceScan(scan, settings.trace, hooks) };
    return this.#model.value;
  }

  measure(model: Model, settings: AllSettings, hooks: Hooks): MeasureResult {
    const key = JSON.stringify(settings);
    if (this.#result?.key === key) return this.#result.value;
    this.#result = { key, value: measure(model, settings.measure, hooks) };
    return this.#result.value;
  }

  record(scan: Scan, model: Model, result: MeasureResult, settings: AllSettings): SpecimenRecord {
    if (this.#facts === undefined) throw new Error('record before read');
    const source = scanSource(this.#facts, scan, model);
    return toRecord({ source, model, result, settings, catalogue: {}, warnings: scan.warnings });
  }
}
