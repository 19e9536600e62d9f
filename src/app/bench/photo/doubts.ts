import type { SpecimenRecord } from '../../../record/schema.ts';

/** Warnings of photographs that are about places on the outline, not about the whole of it. */
const OF_PLACES: readonly string[] = ['edge-hidden', 'edge-shaded', 'edge-shadow', 'corner-hidden'];

export const isOfPlaces = (code: string): boolean => OF_PLACES.includes(code);

/** Whether places in doubt are told of: unexplained, their marks would only puzzle. */
export const tellsOfPlaces = ({ warnings }: SpecimenRecord): boolean =>
  warnings.some(({ code }) => isOfPlaces(code));
