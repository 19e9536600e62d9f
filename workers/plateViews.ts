import { arrisesOf, type FacePictures, shadeFaces } from '../src/plate/faces.ts';
import type { PlateSection } from '../src/plate/figureSections.ts';
import { type PlateStyle, scaleFactor } from '../src/plate/plateStyle.ts';
import { type ScanSurface, sectionsAt, surfaceOf } from '../src/plate/scanViews.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import { SHADED_DPI } from './plateJob.ts';

/** What a scan gave for plates so far. */
interface Views {
  readonly faces: Map<string, FacePictures>;
  /** By station; undefined where the surface is not met. */
  readonly sections: Map<number, PlateSection | undefined>;
}

/** Enlarged pieces get finer pixels, reduced ones keep those of true size: the scale changes often. */
const shadedCell = ({ scale }: PlateStyle): number =>
  25.4 / SHADED_DPI / Math.min(4, Math.max(1, scaleFactor(scale) ?? 1));

/** Name of the drawing of the faces that a style wants from the scan; none where outlines do. */
function facesKey(style: PlateStyle): string | undefined {
  if (style.face === 'outline') return undefined;
  return style.face === 'arrises' ? 'arrises' : `relief ${shadedCell(style)}`;
}

/** Views drawn from scans, by piece; the surface read last stays at hand, because what comes next is mostly of the same piece. */
export class PlateViews {
  readonly #views = new Map<string, Views>();
  #last: { readonly key: string; readonly surface: ScanSurface } | undefined;

  forget(key: string): void {
    this.#views.delete(key);
    if (this.#last?.key === key) this.#last = undefined;
  }

  /** What the style wants of the scan and has not got yet. */
  lacks(key: string, record: SpecimenRecord, style: PlateStyle): boolean {
    if (record.source.kind !== 'scan') return false;
    const faces = facesKey(style);
    const views = this.#views.get(key);
    return (
      (faces !== undefined && views?.faces.has(faces) !== true) ||
      stationsBeyond(record, style).some((station) => views?.sections.has(station) !== true)
    );
  }

  async prepare(key: string, record: SpecimenRecord, scan: Blob, style: PlateStyle): Promise<void> {
    if (!this.lacks(key, record, style)) return;
    const surface = await this.#surface(key, record, scan);
    const views = this.#views.get(key) ?? { faces: new Map(), sections: new Map() };
    this.#views.set(key, views);
    const faces = facesKey(style);
    const { mesh, length } = surface;
    if (faces !== undefined && !views.faces.has(faces)) {
      views.faces.set(
        faces,
        style.face === 'arrises' ? arrisesOf(mesh, length) : shadeFaces(mesh, length, shadedCell(style)),
      );
    }
    const stations = stationsBeyond(record, style).filter((station) => !views.sections.has(station));
    const cut = sectionsAt(surface, stations);
    for (const station of stations) {
      views.sections.set(
        station,
        cut.find((section) => section.station === station),
      );
    }
  }

  facesOf(key: string, style: PlateStyle): FacePictures | undefined {
    return this.#views.get(key)?.faces.get(facesKey(style) ?? '');
  }

  sectionsOf(key: string): PlateSection[] {
    return [...(this.#views.get(key)?.sections.values() ?? [])].filter((section) => section !== undefined);
  }

  async #surface(key: string, record: SpecimenRecord, scan: Blob): Promise<ScanSurface> {
    if (this.#last?.key !== key) {
      // Two surfaces at once would be one too many for large scans.
      this.#last = undefined;
      const surface = await surfaceOf(new Uint8Array(await scan.arrayBuffer()), record);
      this.#last = { key, surface };
    }
    return this.#last.surface;
  }
}

/** Stations that the style wants and the record does not hold. */
function stationsBeyond({ sections }: SpecimenRecord, { layout, stations }: PlateStyle): number[] {
  if (layout !== 'full') return [];
  return stations.filter(
    (asked) => !sections.some(({ at, station }) => at === 'station' && Math.abs(station - asked) < 0.05),
  );
}
