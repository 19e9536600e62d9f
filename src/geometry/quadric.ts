/** The six terms of a polynomial of second degree in two places: 1, u, v, u², uv, v², into `out`. */
export function quadricTerms(u: number, v: number, out: Float64Array): void {
  out[0] = 1;
  out[1] = u;
  out[2] = v;
  out[3] = u * u;
  out[4] = u * v;
  out[5] = v * v;
}
