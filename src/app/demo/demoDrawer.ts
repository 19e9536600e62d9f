import type { Catalogue } from '../../record/schema.ts';
import { type AllSettings, DEFAULT_SETTINGS } from '../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../trace/settings.ts';
import { type PhotoSettings, VIEWS, type ViewName } from '../../trace/types.ts';
import type { FurtherPhoto } from '../state/views.ts';

/** One invented piece of the demo drawer. */
export interface DemoPiece {
  readonly id: string;
  readonly title: string;
  readonly number: string;
  readonly look: string;
  readonly fileName: string;
  /** What the drawer's list says of it, as an analyst would. */
  readonly catalogue: Catalogue;
  /** Of its files; others have another one. */
  readonly address: string;
  /** What its photographs must be told to be measured. */
  readonly settings: AllSettings;
  readonly further: readonly FurtherPhoto[];
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

/** A piece that was photographed: Face A, and further views by their names. */
interface ListedPhotos extends Pick<ListedPiece, 'file' | 'title' | 'catalogueNumber' | 'look'> {
  readonly views?: Partial<Record<ViewName, string>>;
  /** How its scale is had. */
  readonly photo: Partial<PhotoSettings>;
}

interface PhotoListing {
  readonly pieces: readonly ListedPhotos[];
}

const lists = import.meta.glob<Listing>('../../../sample-scans/drawer.json', {
  eager: true,
  import: 'default',
});
const photoLists = import.meta.glob<PhotoListing>('../../../sample-scans/photos.json', {
  eager: true,
  import: 'default',
});
const addresses = import.meta.glob<string>('../../../sample-scans/*.{ply,stl,obj,glb,jpg}', {
  eager: true,
  query: '?url',
  import: 'default',
});

/** The demo drawer as it was built into the page: scans, then photographs, which therefore are measured last. */
export function demoPieces(): DemoPiece[] {
  return [...scannedPieces(), ...photographedPieces()];
}

function scannedPieces(): DemoPiece[] {
  return Object.values(lists).flatMap(({ title: collection, pieces }) =>
    pieces.flatMap((piece): DemoPiece[] => {
      const address = addressOf(piece.file);
      if (address === undefined) return [];
      const { title, catalogueNumber: number, look, file: fileName } = piece;
      const catalogue = describe(piece, collection);
      const id = nameOf(fileName);
      const settings = DEFAULT_SETTINGS;
      const open = (): Promise<Blob> => fetchFile(address);
      return [{ id, title, number, look, fileName, catalogue, address, settings, further: [], open }];
    }),
  );
}

function photographedPieces(): DemoPiece[] {
  const collection = demoStory()?.title ?? '';
  return Object.values(photoLists).flatMap(({ pieces }) =>
    pieces.flatMap((piece): DemoPiece[] => {
      const { title, catalogueNumber: number, look, file: fileName, views = {}, photo: told } = piece;
      const address = addressOf(fileName);
      if (address === undefined) return [];
      const id = nameOf(fileName);
      const found = VIEWS.flatMap((view) => {
        const file = views[view];
        const itsAddress = file === undefined ? undefined : addressOf(file);
        return file === undefined || itsAddress === undefined ? [] : [{ view, file, address: itsAddress }];
      });
      const shown = found.length === 0 ? {} : { views: found.map(({ view }) => ({ view, file: view })) };
      return [
        {
          ...{ id, title, number, look, fileName, catalogue: { collection } },
          address: [address, ...found.map((view) => view.address)].join(' '),
          settings: { ...DEFAULT_SETTINGS, photo: { ...DEFAULT_PHOTO_SETTINGS, ...told, ...shown } },
          further: found.map((view) => ({
            id: view.view,
            fileName: view.file,
            open: () => fetchFile(view.address),
          })),
          open: () => fetchFile(address),
        },
      ];
    }),
  );
}

function addressOf(fileName: string): string | undefined {
  return addresses[`../../../sample-scans/${fileName}`];
}

function nameOf(fileName: string): string {
  return fileName.replace(/\.[^.]+$/, '');
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

async function fetchFile(address: string): Promise<Blob> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${response.status} ${response.statusText}`);
  return response.blob();
}
