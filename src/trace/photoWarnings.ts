import type { Warning } from '../geometry/types.ts';
import type { PhotoPiece } from './photoPieces.ts';
import { FAR } from './photoSharpness.ts';

/** Below this share a warning says that the picture does not show the whole outline. */
const WELL_FOUND = 0.9;
/** From this share of a soft edge, or of one stretch of it, on a warning says that a shadow may have been taken for the piece. */
const SOFT = 0.03;
const SOFT_STRETCH = 0.02;
/** From this share of an outline on next to which the backdrop is unlike itself a warning says so. */
const ODD = 0.004;
/** The same of an outline next to which a part was taken for a hard shadow. */
const HEMMED = 0.02;
/** The same of an outline along which the inside may be a hard shadow. */
const DIM = 0.05;
/** From this blur on, pixels, a warning says that corners and notches are lost. */
const BLURRED = 2.4;
/** Where more of the edge is softer than the rest, it is a shadow's, and tells nothing of the picture's blur; unless nearly all of it is: that is no shadow. */
const [SHADOWED, ALL] = [0.2, 0.9];

/**
 * Standard uncertainty that soft edges add to the place of a ring, pixels: somewhere within each the true edge lies, as far off
 * as softness was looked for. 0 where too little is soft to be told.
 */
export function softError({ soft, softStretch }: Pick<PhotoPiece, 'soft' | 'softStretch'>): number {
  return soft > SOFT || softStretch > SOFT_STRETCH ? FAR * soft : 0;
}

/** Standard uncertainty of the whole ring together, pixels: by its soft edges, and by parts beside it that may be stone (rectangular). */
export function leaning(piece: Pick<PhotoPiece, 'soft' | 'softStretch' | 'hem'>): number {
  return Math.hypot(softError(piece), (piece.hem ?? 0) / Math.sqrt(3));
}

/** What speaks against the outline of a piece in a photograph, in words for who uses its numbers. */
export function doubtsOf(piece: PhotoPiece): Warning[] {
  const warnings: Warning[] = [];
  if (piece.kind === 'cut') {
    warnings.push({
      code: 'piece-cut',
      text: 'The piece runs out of the picture: what is outside is not measured.',
    });
  }
  if (piece.kind === 'card') {
    warnings.push({
      code: 'piece-card',
      text: 'What was measured has four straight sides, as a label has, or is as round as a coin: nothing was looked for that would leave its outline in doubt.',
    });
  }
  if (piece.found < WELL_FOUND) {
    warnings.push({
      code: 'edge-unclear',
      text: `Along ${Math.round(100 * (1 - piece.found))} % of the outline the picture shows no clear edge: look at the outline before using the numbers.`,
    });
  }
  if (softError(piece) > 0) {
    warnings.push({
      code: 'edge-soft',
      text: `Along ${Math.round(100 * piece.soft)} % of the outline the edge is soft, as that of a shadow, of a glint or out of focus: look at the outline before using the numbers.`,
    });
  }
  if (piece.blur !== undefined && piece.blur > BLURRED && (piece.soft < SHADOWED || piece.soft > ALL)) {
    warnings.push({
      code: 'picture-blurred',
      text: `The edges of the piece are blurred over ${Math.round(2 * piece.blur)} pixels, as out of focus or moved: corners, tips and notches are rounded. Take it again, or reduce the picture.`,
    });
  }
  if (piece.dim !== undefined && piece.dim > DIM) {
    warnings.push({
      code: 'edge-shadow',
      text: `Along ${Math.round(100 * piece.dim)} % of the outline the inside is of the backdrop's own colour and only darker, unlike the rest of the piece: a hard shadow may have been taken for it. Look at the outline before using the numbers.`,
    });
  }
  if (piece.odd !== undefined && piece.odd > ODD && piece.lined !== true) {
    warnings.push({
      code: 'edge-hidden',
      text: `Next to ${Math.max(1, Math.round(100 * piece.odd))} % of the outline the backdrop does not look like itself: stone of nearly its colour, or a glint, may lie outside the outline. Look at it before using the numbers.`,
    });
  }
  if (piece.hemmed !== undefined && piece.hemmed > HEMMED) {
    warnings.push({
      code: 'edge-shaded',
      text: `Next to ${Math.max(1, Math.round(100 * piece.hemmed))} % of the outline lies a darker part with a sharp edge of its own: it was taken for a hard shadow, and may be stone. Look at the outline, paint the part in if it is stone, or use softer light and a coloured backdrop.`,
    });
  }
  if (piece.attached !== undefined) {
    warnings.push({
      code: 'part-attached',
      text: `${Math.max(1, Math.round(100 * piece.attached))} % of the outline runs round a part of another colour that stands out of the piece behind a sharp edge, as putty does that holds it: if it is no stone, paint it out before using the numbers.`,
    });
  }
  if (piece.carded !== undefined) {
    warnings.push({
      code: 'part-attached',
      text: `${Math.max(1, Math.round(100 * piece.carded))} % of the outline runs along straight sides that meet at right angles, as those of a label or a scale that touches the piece: if that is no stone, paint it out before using the numbers, or lay it apart.`,
    });
  }
  if (piece.beyond !== undefined) {
    warnings.push({
      code: 'corner-hidden',
      text: `A corner or a thin spur may go on up to ${Math.ceil(piece.beyond)} pixels beyond the outline, where the picture shows something else than backdrop: look at the corners, and draw on with the brush where stone is left out.`,
    });
  }
  if (piece.lined === true) {
    warnings.push({
      code: 'backdrop-lined',
      text: 'The backdrop has lines, as a cutting mat has, which were left out: look at the outline where one of them meets the piece.',
    });
  }
  return warnings;
}
