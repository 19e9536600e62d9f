import { expect, test } from 'vitest';
import { companionsOf, companionWords, mayHaveCompanions } from '../../src/app/state/companions.ts';
import { isKnownFile } from '../../src/app/state/sortFiles.ts';
import { sniff } from '../../src/intake/sniff.ts';

const MTL = `# made by a scanner
newmtl stone
Kd 0.8 0.8 0.8
map_Kd Axe 7 colour.JPG
map_bump -bm 0.4 textures\\relief.png
  map_Ks ./shine.png
`;

const names = (files: readonly File[]): string[] => files.map(({ name }) => name);

test('the materials of an OBJ and the pictures that they name are told from photographs', async () => {
  const files = [
    'axe 7.obj',
    'axe 7.mtl',
    'axe 7 colour.jpg',
    'relief.png',
    'shine.png',
    'axe 7.jpg',
    'dark relief.png',
    'colour.jpg.tif',
  ].map((name) => new File([name.endsWith('.mtl') ? MTL : ''], name));
  const found = await companionsOf(files);
  expect(names(found.materials)).toEqual(['axe 7.mtl']);
  expect(names(found.pictures)).toEqual(['axe 7 colour.jpg', 'relief.png', 'shine.png']);
  expect(companionWords(found)).toEqual([
    'axe 7.mtl and 3 more',
    'They hold the colours of a scan’s surface, which are not measured, and were left out.',
  ]);
  // Without an OBJ materials are not held back: what the file is, is said by its content.
  expect((await companionsOf(files.slice(1))).materials).toEqual([]);
});

test('a PLY and a glTF name their pictures as well; what nobody names is a photograph', async () => {
  const ply = new File(['ply\nformat ascii 1.0\ncomment TextureFile skin.png\nend_header\n'], 'a.ply');
  const gltf = new File([JSON.stringify({ images: [{ uri: 'textures/base%20colour.png' }] })], 'b.gltf');
  const pictures = ['skin.png', 'base colour.png', 'a.png'].map((name) => new File([], name));
  const files = [ply, gltf, ...pictures];
  expect(mayHaveCompanions(files)).toBe(true);
  expect(mayHaveCompanions(pictures)).toBe(false);
  expect(names((await companionsOf(files)).pictures)).toEqual(['skin.png', 'base colour.png']);
});

test('a folder’s materials are looked at; alone they are named for what they are', () => {
  expect(isKnownFile('axe.MTL')).toBe(true);
  expect(sniff(new TextEncoder().encode(MTL))).toEqual({
    foreign: 'the materials of an OBJ (MTL), which hold no shape; open the OBJ itself',
  });
});
