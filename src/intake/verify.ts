import { IntakeError } from './types.ts';

/** A thousand kilometres in micrometres: beyond it lies no scan, and products of lengths drown in rounding. */
const LARGEST_COORDINATE = 1e12;

/**
 * Refuses coordinates that are no finite numbers. `where` names a vertex for the message.
 */
export function verifyCoordinates(positions: Float64Array, where: (vertex: number) => string): void {
  for (let i = 0; i < positions.length; i++) {
    if (Math.abs(positions[i]) <= LARGEST_COORDINATE) continue;
    const value = positions[i];
    const axis = 'xyz'[i % 3];
    const is = Number.isNaN(value)
      ? 'is not a number'
      : Number.isFinite(value)
        ? `is ${value}, beyond any length`
        : 'is infinite';
    throw new IntakeError('bad-coordinate', `Coordinate ${axis} of ${where(Math.floor(i / 3))} ${is}.`);
  }
}

/** Refuses an index that names no vertex. `where` names the face. */
export function badIndex(index: number, numVertices: number, where: string): IntakeError {
  return new IntakeError(
    'bad-index',
    `${where} names vertex ${index}, but the file has vertices 0 to ${numVertices - 1} only.`,
  );
}
