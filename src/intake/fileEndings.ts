/** Endings of the names of scans and of photographs that are read. The content decides what a file is; its name, whether it is looked into. */
export const SCAN_ENDINGS = ['.ply', '.stl', '.obj', '.gltf', '.glb'] as const;
export const PHOTO_ENDINGS = ['.jpg', '.jpeg', '.png', '.tif', '.tiff', '.webp'] as const;

export function hasEnding(name: string, endings: readonly string[]): boolean {
  const lower = name.toLowerCase();
  return endings.some((ending) => lower.endsWith(ending));
}
