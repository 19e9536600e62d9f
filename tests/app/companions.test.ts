import { expect, test } from 'vitest';
import { companionsOf, companionWords } from '../../src/app/state/companions.ts';
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
    'axe 7.mtl',
    'It holds the colours of an OBJ, which are not measured; the 3 pictures named there were left out as well.',
  ]);
  // Without an OBJ nothing is held back: what the file is, is said by its content.
  expect((await companionsOf(files.slice(1))).pictures).toEqual([]);
});

test('a folder’s materials are looked at; alone they are named for what they are', () => {
  expect(isKnownFile('axe.MTL')).toBe(true);
  expect(sniff(new TextEncoder().encode(MTL))).toEqual({
    foreign: 'the materials of an OBJ (MTL), which hold no shape; open the OBJ itself',
  });
});
