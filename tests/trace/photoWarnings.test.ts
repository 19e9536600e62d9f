import { describe, expect, it } from 'vitest';
import type { PhotoPiece } from '../../src/trace/photoPieces.ts';
import { doubtsOf } from '../../src/trace/photoWarnings.ts';

const PIECE: PhotoPiece = {
  ring: new Float64Array(),
  found: 1,
  error: 0.1,
  soft: 0,
  softStretch: 0,
  area: 1e5,
  kind: 'piece',
};
const codesOf = (piece: Partial<PhotoPiece>): string[] =>
  doubtsOf({ ...PIECE, ...piece }).map(({ code }) => code);

describe('doubtsOf', () => {
  it('says nothing of a clear outline', () => {
    expect(codesOf({ blur: 1, odd: 0.001, hemmed: 0.01, dim: 0.02 })).toEqual([]);
  });

  it('says that a picture is blurred where few edges are soft, or all are: what is soft in between is a shadow', () => {
    expect(codesOf({ blur: 6 })).toEqual(['picture-blurred']);
    expect(codesOf({ blur: 6, soft: 1, softStretch: 1 })).toEqual(['edge-soft', 'picture-blurred']);
    expect(codesOf({ blur: 6, soft: 0.5, softStretch: 0.3 })).toEqual(['edge-soft']);
  });

  it('says that a part may be attached, and by how much of the outline', () => {
    expect(doubtsOf({ ...PIECE, attached: 0.043 })[0].text).toMatch(/^4 % of the outline/);
    expect(doubtsOf({ ...PIECE, carded: 0.21 })[0]).toMatchObject({
      code: 'part-attached',
      text: expect.stringMatching(/^21 % of the outline runs along straight sides/),
    });
  });
});
