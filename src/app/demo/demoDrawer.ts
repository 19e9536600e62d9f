/** One invented piece of the demo drawer. */
export interface DemoPiece {
  readonly id: string;
  readonly title: string;
  readonly number: string;
  readonly look: string;
  readonly fileName: string;
  readonly open: () => Promise<Blob>;
}

/** What the drawer's list says of each piece. */
interface ListedPiece {
  readonly file: string;
  readonly title: string;
  readonly number: string;
  readonly look: string;
}

const lists = import.meta.glob<{ readonly pieces: readonly ListedPiece[] }>(
  '../../../sample-scans/drawer.json',
  { eager: true, import: 'default' },
);
const addresses = import.meta.glob<string>('../../../sample-scans/*.{ply,stl,obj,glb}', {
  eager: true,
  query: '?url',
  import: 'default',
});

/** The demo drawer as it was built into the page. */
export function demoPieces(): DemoPiece[] {
  return Object.values(lists).flatMap(({ pieces }) =>
    pieces.flatMap((piece): DemoPiece[] => {
      const address = addresses[`../../../sample-scans/${piece.file}`];
      if (address === undefined) return [];
      const { title, number, look, file: fileName } = piece;
      return [{ id: number, title, number, look, fileName, open: () => fetchScan(address) }];
    }),
  );
}

async function fetchScan(address: string): Promise<Blob> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${response.status} ${response.statusText}`);
  return response.blob();
}
