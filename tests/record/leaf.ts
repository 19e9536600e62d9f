/** A leaf so many mm long and wide about (500, 600), tip up, at 10 pixels in a millimetre, as found in a picture. */
export function leaf(long: number, wide: number) {
  const n = 900;
  const ring = Float64Array.from({ length: 2 * n }, (_, i) => {
    const angle = (2 * Math.PI * (i >> 1)) / n;
    const along = 5 * long * Math.sin(angle);
    return i % 2 === 1 ? 600 - along : 500 + 5 * wide * Math.cos(angle) * (1 - 0.03 * (along / long));
  });
  return [{ kind: 'piece', found: 1, ring, error: 0.1, soft: 0, softStretch: 0, area: 1 }] as const;
}

/** A picture that shows nothing. */
export const BLANK = { width: 1000, height: 1200, rgba: new Uint8ClampedArray(4 * 1000 * 1200) };
