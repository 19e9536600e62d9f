/** What the first bytes of a file say that it is. */
export type SniffedFormat = 'ply' | 'stl-ascii' | 'stl-binary' | 'obj' | 'gltf' | 'glb';
export type Sniffed =
  | { readonly format: SniffedFormat; readonly offset: number }
  | { readonly foreign: string };

const UTF16 = 'text in UTF-16; save it as plain text (UTF-8)';

const MACOS = 'what macOS keeps beside a file (its name begins with “._”), not the file itself';

/** Files that people hand over by mistake, by their first bytes ("." stands for any byte). */
const FOREIGN: readonly (readonly [start: string, is: string])[] = [
  ['\xff\xd8\xff', 'a JPEG picture'],
  ['\x89PNG', 'a PNG picture'],
  ['GIF8', 'a GIF picture; save it as JPEG or PNG'],
  ['II*\0', 'a TIFF picture'],
  ['MM\0*', 'a TIFF picture'],
  ['BM....\0\0\0\0', 'a BMP picture; save it as JPEG or PNG'],
  ['RIFF....WEBP', 'a WebP picture'],
  ['....ftypavif', 'an AVIF picture; save it as JPEG or PNG'],
  ['....ftyphei', 'a HEIC picture; save it as JPEG or PNG'],
  ['....ftypmif1', 'a HEIC picture; save it as JPEG or PNG'],
  ['....ftyp', 'a film'],
  ['\0\0\0\x0cJXL ', 'a JPEG XL picture; save it as JPEG or PNG'],
  ['8BPS', 'a Photoshop picture; save it as JPEG or PNG'],
  ['%PDF', 'a PDF document'],
  ['PK\x03\x04', 'a ZIP archive (3MF files are such); unpack it, or save the mesh as PLY, STL, OBJ or glTF'],
  ['\x1f\x8b', 'compressed with gzip; unpack it first'],
  ['7z\xbc\xaf', 'a 7-Zip archive; unpack it first'],
  ['Rar!', 'a RAR archive; unpack it first'],
  ['BZh', 'compressed with bzip2; unpack it first'],
  ['\xfd7zXZ', 'compressed with xz; unpack it first'],
  ['\x28\xb5\x2f\xfd', 'compressed with Zstandard; unpack it first'],
  ['Kaydara FBX', 'an FBX file; save the mesh as PLY, STL, OBJ or glTF'],
  ['BLENDER', 'a Blender file; save the mesh as PLY, STL, OBJ or glTF'],
  ['# vtk DataFile', 'a VTK file; save the mesh as PLY, STL, OBJ or glTF'],
  ['#VRML', 'a VRML file; save the mesh as PLY, STL, OBJ or glTF'],
  ['#X3D', 'an X3D file; save the mesh as PLY, STL, OBJ or glTF'],
  ['version https://git-lfs', 'a pointer to a file kept elsewhere (Git LFS), not the file itself'],
  ['ASTM-E57', 'an E57 point cloud; mesh it and save it as PLY, STL, OBJ or glTF'],
  ['LASF', 'a LAS point cloud; mesh it and save it as PLY, STL, OBJ or glTF'],
  ['OFF', 'an OFF file; save the mesh as PLY, STL, OBJ or glTF'],
  ['COFF', 'an OFF file; save the mesh as PLY, STL, OBJ or glTF'],
  ['SQLite format 3', 'a database'],
  ['\x7fELF', 'a program'],
  ['MZ', 'a program'],
  ['\xff\xfe', UTF16],
  ['\xfe\xff', UTF16],
  ['<', 'XML or a web page (COLLADA and X3D are such); save the mesh as PLY, STL, OBJ or glTF'],
];

const OBJ_START = /^(?:v|vn|vt|vp|f|o|g|s|mtllib|usemtl|call|cstype|l|p)[ \t]/;

/** Tells the format from the content alone. */
export function sniff(bytes: Uint8Array): Sniffed {
  const empty = emptyOfContent(bytes);
  if (empty !== undefined) return { foreign: empty };
  const offset = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  const head = String.fromCharCode(...bytes.subarray(offset, offset + 4096));
  if (head.startsWith('glTF')) return { format: 'glb', offset };
  if (/^ply(?:[ \t]*[\r\n]|$)/.test(head)) return { format: 'ply', offset };
  if (head.startsWith('\0\x05\x16\x07')) return { foreign: MACOS };
  const solid = /^\s*solid\b/i.test(head);
  if (isBinaryStl(bytes) || (solid && !isText(head))) return { format: 'stl-binary', offset: 0 };
  if (solid) return { format: 'stl-ascii', offset };
  for (const [start, is] of FOREIGN) if (startsLike(head, start)) return { foreign: is };
  if (isWideText(head)) return { foreign: UTF16 };
  if (head.startsWith('ustar', 257)) return { foreign: 'a TAR archive; unpack it first' };
  if (isText(head)) return sniffText(head, offset);
  // Any other bytes with a text of 80 characters or zeros before them are most likely a damaged binary STL.
  if (bytes.length >= 84 && isText(head.slice(0, 80).replace(/\0+$/, '')))
    return { format: 'stl-binary', offset: 0 };
  return { foreign: 'in no format that can be read' };
}

function sniffText(head: string, offset: number): Sniffed {
  if (/^\s*\{/.test(head)) return { format: 'gltf', offset };
  const lines = head.split(/[\r\n]+/).map((line) => line.trim());
  const first = lines.find((line) => line !== '' && !line.startsWith('#'));
  if (first === undefined ? head.startsWith('#') : OBJ_START.test(first)) return { format: 'obj', offset };
  if (first?.startsWith('newmtl')) {
    return { foreign: 'the materials of an OBJ (MTL), which hold no shape; open the OBJ itself' };
  }
  if (first !== undefined && /^[-+\d.]+(?:[\s,;]+[-+\deE.]+){2,}$/.test(first)) {
    return { foreign: 'a list of points without faces (a point cloud); mesh it before measuring' };
  }
  return { foreign: 'text in no format that can be read' };
}

/** Whether the length is what the count in a binary STL's header asks for, but for less than one facet. */
function isBinaryStl(bytes: Uint8Array): boolean {
  if (bytes.length < 84) return false;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const extra = bytes.length - (84 + 50 * view.getUint32(80, true));
  return extra >= 0 && extra < 50;
}

/** What a copy that broke off, or a disk that was full, leaves of a file. */
function emptyOfContent(bytes: Uint8Array): string | undefined {
  const head = bytes.subarray(0, 4096);
  if (head.length > 84 && head.every((byte) => byte === 0)) {
    return 'without content: it begins with zeros alone, as after a copy that broke off; copy it again';
  }
  const isBlank = head.every((byte) => byte === 32 || (byte >= 9 && byte <= 13));
  return isBlank && head.length === bytes.length ? 'without content: it holds white space alone' : undefined;
}

/** Every other byte is zero, the rest is text: UTF-16 without a mark of its order. */
function isWideText(head: string): boolean {
  if (head.length < 16) return false;
  return [0, 1].some((start) => {
    for (let i = start; i < head.length; i += 2) if (head[i] !== '\0') return false;
    return isText(head.replaceAll('\0', ''));
  });
}

/** No control characters but white space. */
function isText(head: string): boolean {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what tells bytes from text
  return !/[\x00-\x08\x0e-\x1a\x1c-\x1f]/.test(head);
}

function startsLike(head: string, start: string): boolean {
  for (let i = 0; i < start.length; i++) if (start[i] !== '.' && start[i] !== head[i]) return false;
  return true;
}
