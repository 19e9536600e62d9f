import type { Catalogue } from '../../record/schema.ts';

/** One invented piece of the demo drawer. */
export interface DemoPiece {
  readonly id: string;
  readonly title: string;
  readonly number: string;
  readonly look: string;
  readonly fileName: string;
  /** What the drawer's list says of it, as an analyst would. */
  readonly catalogue: Catalogue;
  /** Of its scan; another scan has another one. */
  readonly address: string;
  readonly open: () => Promise<Blob>;
}

/** What the drawer's list says of each piece. */
interface ListedPiece {
  readonly file: string;
  readonly title: string;
  readonly catalogueNumber: string;
  readonly look: string;
  readonly rawMaterial?: string;
  readonly blank?: 'flake' | 'cobble' | 'tabular piece';
  readonly note?: string;
}

interface Listing {
  readonly title: string;
  readonly story: string;
  readonly pieces: readonly ListedPiece[];
}

const lists = import.meta.glob<Listing>('../../../sample-scans/drawer.json', {
  eager: true,
  import: 'default',
});
const addresses = import.meta.glob<string>('../../../sample-scans/*.{ply,stl,obj,glb}', {
  eager: true,
  query: '?url',
  import: 'default',
});

/** The demo drawer as it was built into the page. */
export function demoPieces(): DemoPiece[] {
  return Object.values(lists).flatMap(({ title: collection, pieces }) =>
    pieces.flatMap((piece): DemoPiece[] => {
      const address = addresses[`../../../sample-scans/${piece.file}`];
      if (address === undefined) return [];
      const { title, catalogueNumber: number, look, file: fileName } = piece;
      const id = fileName.replace(/\.[^.]+$/, '');
      const catalogue = describe(piece, collection);
      return [{ id, title, number, look, fileName, catalogue, address, open: () => fetchScan(address) }];
    }),
  );
}

function describe({ rawMaterial, blank, note }: ListedPiece, collection: string): Catalogue {
  return {
    collection,
    ...(rawMaterial === undefined ? {} : { material: rawMaterial }),
    ...(blank === undefined ? {} : { blank: blank === 'tabular piece' ? 'tabular' : blank }),
    ...(note === undefined ? {} : { notes: note }),
  };
}

/** Title and story of the invented collection. */
export function demoStory(): { readonly title: string; readonly story: string } | null {
  return Object.values(lists)[0] ?? null;
}

async function fetchScan(address: string): Promise<Blob> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${response.status} ${response.statusText}`);
  return response.blob();
}
