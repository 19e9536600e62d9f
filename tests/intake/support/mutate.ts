/** A small generator of equal numbers for equal seeds (mulberry32, public domain). */
export function randomOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A file with one to four spoilt places: bytes changed, cut out, doubled, or the end cut off. */
export function mutate(bytes: Uint8Array, random: () => number): Uint8Array {
  let result = Array.from(bytes);
  const times = 1 + Math.floor(random() * 4);
  for (let k = 0; k < times; k++) {
    // Half of the blows fall on the first bytes, where a format keeps its promises.
    const reach = random() < 0.5 ? Math.min(300, result.length) : result.length;
    const at = Math.floor(random() * reach);
    const length = 1 + Math.floor(random() ** 3 * 40);
    const kind = random();
    if (kind < 0.3) result[at] = Math.floor(random() * 256);
    else if (kind < 0.45) result[at] = [0, 255, 127, 128, 45, 48, 57, 10][Math.floor(random() * 8)];
    else if (kind < 0.55) result[at] ^= 1 << Math.floor(random() * 8);
    else if (kind < 0.65) result.splice(at, length);
    else if (kind < 0.75) result.splice(at, 0, ...result.slice(at, at + length));
    else if (kind < 0.85) for (let i = at; i < Math.min(at + length, result.length); i++) result[i] = 255;
    else if (kind < 0.93) for (let i = at; i < Math.min(at + length, result.length); i++) result[i] = 57;
    else result = result.slice(0, at);
  }
  return Uint8Array.from(result);
}
