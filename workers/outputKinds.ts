/** What may be written of a measured scan. */
export const OUTPUT_KINDS = ['json', 'csv', 'sheet'] as const;
export type OutputKind = (typeof OUTPUT_KINDS)[number];
