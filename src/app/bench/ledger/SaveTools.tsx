import { useState } from 'react';
import { measuresCsv } from '../../../record/csv.ts';
import { MESH_KINDS, type MeshKind } from '../../../record/meshFile.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { writeRecord } from '../../../record/write.ts';
import { fileNameOf, saveFile } from '../../save.ts';
import { usePieces, useWorkbench } from '../../workbench.ts';

/** The numbers out of the workbench: onto the clipboard, or as files that R and Python read. */
export function SaveTools({ record, piece: id }: { record: SpecimenRecord; piece: string }) {
  const piece = usePieces(({ pieces }) => pieces.find((candidate) => candidate.id === id));
  const { bench } = useWorkbench();
  const [said, setSaid] = useState('');
  if (piece === undefined) return null;
  const { findSpot: _, ...catalogue } = piece.catalogue;
  const name = fileNameOf(piece.number || piece.title);
  const copy = async (): Promise<void> => {
    const rows = record.measurements.map(({ id: measure, value, unit, u }) =>
      [measure, value ?? '', unit, u ?? ''].join('\t'),
    );
    try {
      await navigator.clipboard.writeText(['id\tvalue\tunit\tu', ...rows].join('\n'));
      setSaid('Copied.');
    } catch {
      setSaid('This browser does not let the page write to the clipboard.');
    }
  };
  const saveMesh = async (kind: MeshKind): Promise<void> => {
    try {
      saveFile(`${name}.oriented.${kind}`, await bench.mesh(kind, piece.number));
      setSaid('');
    } catch {
      setSaid('The surface could not be read again from its file.');
    }
  };
  return (
    <div className="save-tools">
      <button type="button" className="button" onClick={() => void copy()}>
        Copy table
      </button>
      <button
        type="button"
        className="button"
        onClick={() => saveFile(`${name}.measures.csv`, measuresCsv(record))}
      >
        Save CSV
      </button>
      <button
        type="button"
        className="button"
        onClick={() => saveFile(`${name}.specimen.json`, writeRecord({ ...record, catalogue }))}
      >
        Save record
      </button>
      {(record.source.kind === 'scan' ? MESH_KINDS : []).map((kind) => (
        <button
          key={kind}
          type="button"
          className="button"
          title="The surface, tip up and Face A to the front"
          onClick={() => void saveMesh(kind)}
        >
          Save {kind.toUpperCase()}
        </button>
      ))}
      <span className="soft" role="status">
        {said}
      </span>
    </div>
  );
}
