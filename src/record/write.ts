import type { SpecimenRecord } from './schema.ts';
import { resolve, type SchemaNode, specimenSchema } from './specimenSchema.ts';

/**
 * The text of a record: UTF-8 JSON, keys in the order of the published schema, one measure, point list or hump a
 * line. The same record gives the same text everywhere; no clock, no locale.
 */
export function writeRecord(record: SpecimenRecord): string {
  return `${write(inOrder(record, specimenSchema), 0)}\n`;
}

/** A copy with the keys of every object in the order in which the schema lists them; absent ones stay absent. */
function inOrder(value: unknown, schema: SchemaNode): unknown {
  const node = resolve(schema);
  if (Array.isArray(value)) {
    const { items } = node;
    return items === undefined ? value : value.map((item) => inOrder(item, items));
  }
  if (typeof value !== 'object' || value === null) return value;
  const from = value as Readonly<Record<string, unknown>>;
  const { properties, additionalProperties } = branchOf(node, from);
  if (properties === undefined) {
    if (typeof additionalProperties !== 'object') return value;
    return Object.fromEntries(
      Object.entries(from).map(([key, item]) => [key, inOrder(item, additionalProperties)]),
    );
  }
  return Object.fromEntries(
    Object.entries(properties)
      .filter(([key]) => from[key] !== undefined)
      .map(([key, property]) => [key, inOrder(from[key], property)]),
  );
}

/** Of several kinds of object the one whose `kind` the value has. */
function branchOf(node: SchemaNode, value: Readonly<Record<string, unknown>>): SchemaNode {
  if (node.oneOf === undefined) return node;
  const branch = node.oneOf.map(resolve).find(({ properties }) => properties?.kind?.const === value.kind);
  if (branch === undefined) throw new Error('a record has an object of a kind that its schema does not know');
  return branch;
}

/** Objects and lists of objects are spread over lines; lists of numbers and what stands in a list keep to one. */
function write(value: unknown, depth: number): string {
  const inner = '  '.repeat(depth + 1);
  const close = '  '.repeat(depth);
  if (Array.isArray(value)) {
    if (!value.some(isObject)) return JSON.stringify(value);
    return `[\n${value.map((item) => inner + JSON.stringify(item)).join(',\n')}\n${close}]`;
  }
  if (!isObject(value)) return JSON.stringify(value);
  const entries = Object.entries(value);
  if (entries.length === 0) return '{}';
  const lines = entries.map(([key, item]) => `${inner}${JSON.stringify(key)}: ${write(item, depth + 1)}`);
  return `{\n${lines.join(',\n')}\n${close}}`;
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
