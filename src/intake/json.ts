import { IntakeError } from './types.ts';
import { clip } from './wording.ts';

/** One value of a JSON document that nobody has checked yet, with its path for messages, as in `accessors[3].count`. */
export class JsonValue {
  constructor(
    readonly value: unknown,
    private readonly holder?: JsonValue,
    private readonly key: string | number = '',
  ) {}

  /** Put together only when it is asked for: a scene of many nodes would spend its time on it. */
  get path(): string {
    const above = this.holder?.path ?? '';
    if (typeof this.key === 'number') return `${above}[${this.key}]`;
    return above === '' ? this.key : `${above}.${this.key}`;
  }

  get isPresent(): boolean {
    return this.value !== undefined;
  }

  /** A member of an object; absent if the object lacks it. Refuses anything but an object. */
  member(name: string): JsonValue {
    const { value } = this;
    if (typeof value !== 'object' || value === null || Array.isArray(value)) throw this.isNot('an object');
    const own = Object.hasOwn(value, name) ? (value as Record<string, unknown>)[name] : undefined;
    return new JsonValue(own, this, name);
  }

  /** The entries of a list; none if it is absent. */
  entries(): JsonValue[] {
    const { value } = this;
    if (value === undefined) return [];
    if (!Array.isArray(value)) throw this.isNot('a list');
    return value.map((entry, index) => new JsonValue(entry, this, index));
  }

  /** Entry of this list that an index elsewhere names. */
  entryFor(index: JsonValue): JsonValue {
    const { value } = this;
    const length = Array.isArray(value) ? value.length : 0;
    const at = index.whole();
    if (at >= length) {
      throw new IntakeError(
        'bad-index',
        `In the glTF file, ${index.path} is ${at}, but ${this.path} has ${length} entries.`,
      );
    }
    return new JsonValue((value as unknown[])[at], this, at);
  }

  /** A whole number, 0 or more, below 2⁵³. */
  whole(otherwise?: number): number {
    if (this.value === undefined && otherwise !== undefined) return otherwise;
    if (!Number.isSafeInteger(this.value) || (this.value as number) < 0)
      throw this.isNot('a whole number, 0 or more');
    return this.value as number;
  }

  /** Exactly `length` finite numbers. */
  numbers(length: number): number[] {
    const { value } = this;
    const ok =
      Array.isArray(value) && value.length === length && value.every((entry) => Number.isFinite(entry));
    if (!ok) throw this.isNot(`a list of ${length} finite numbers`);
    return value;
  }

  text(): string {
    if (typeof this.value !== 'string') throw this.isNot('a text');
    return this.value;
  }

  isNot(wanted: string): IntakeError {
    const found = describe(this.value);
    return new IntakeError(
      'bad-gltf',
      `In the glTF file, ${this.path || 'the document'} ${found}; it should be ${wanted}.`,
    );
  }
}

function describe(value: unknown): string {
  if (value === undefined) return 'is missing';
  if (Array.isArray(value)) return `is a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return 'is an object';
  return `is ${clip(JSON.stringify(value))}`;
}
