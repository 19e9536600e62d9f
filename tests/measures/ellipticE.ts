/**
 * Complete elliptic integral of the second kind, E(m), by the arithmetic–geometric mean
 * (Abramowitz & Stegun 17.6, memory; compared with scipy in tests/outside).
 */
export function ellipticE(m: number): number {
  let [a, b, c, sum, power] = [1, Math.sqrt(1 - m), Math.sqrt(m), 0, 0.5];
  while (Math.abs(c) > 1e-16) {
    sum += power * c * c;
    [a, b, c] = [(a + b) / 2, Math.sqrt(a * b), (a - b) / 2];
    power *= 2;
  }
  return (Math.PI / (2 * a)) * (1 - sum);
}

/** Length of z = height·sin(2πy/wavelength) over its extent in y, whole waves. */
export function waveRatio(height: number, wavelength: number): number {
  const k = (2 * Math.PI * height) / wavelength;
  return (2 / Math.PI) * Math.sqrt(1 + k * k) * ellipticE((k * k) / (1 + k * k));
}
