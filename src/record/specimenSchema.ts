import schema from '../../docs/specimen.schema.json';

/** The part of JSON Schema (draft 2020-12) that the published schema uses and the writer follows. */
export interface SchemaNode {
  readonly $ref?: string;
  readonly const?: unknown;
  readonly oneOf?: readonly SchemaNode[];
  readonly properties?: Readonly<Record<string, SchemaNode>>;
  readonly items?: SchemaNode;
  readonly additionalProperties?: boolean | SchemaNode;
}

/** One schema for readers outside, for reading and for the order of keys in writing. */
export const specimenSchema: SchemaNode = schema as SchemaNode;

const DEFINITIONS: Readonly<Record<string, SchemaNode>> = schema.$defs as Record<string, SchemaNode>;

/** Follows `#/$defs/name`. */
export function resolve(node: SchemaNode): SchemaNode {
  return node.$ref === undefined ? node : DEFINITIONS[node.$ref.replace('#/$defs/', '')];
}
