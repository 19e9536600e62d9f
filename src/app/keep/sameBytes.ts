/** Compared at once, bytes. */
const CHUNK = 1 << 20;

/** Two files have the same content. Read piece by piece: a scan may be as large as the memory. */
export async function sameBytes(a: Blob, b: Blob): Promise<boolean> {
  if (a.size !== b.size) return false;
  for (let from = 0; from < a.size; from += CHUNK) {
    const [one, other] = await Promise.all(
      [a, b].map(async (blob) => new Uint8Array(await blob.slice(from, from + CHUNK).arrayBuffer())),
    );
    if (one.some((byte, k) => byte !== other[k])) return false;
  }
  return true;
}
