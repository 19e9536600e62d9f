/** The distributions that are used of jStat, which carries no types. */
declare module 'jstat' {
  interface Distribution<Parameters extends readonly number[]> {
    /** Probability of a value not above x. */
    cdf(x: number, ...parameters: Parameters): number;
    /** The value that has the share p below it. */
    inv(p: number, ...parameters: Parameters): number;
  }
  const jStat: {
    readonly centralF: Distribution<readonly [number, number]>;
    readonly studentt: Distribution<readonly [number]>;
    readonly normal: Distribution<readonly [number, number]>;
  };
  export default jStat;
}
