import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { findMat } from '../../src/intake/scaleMat.ts';
import { matLayout } from '../../src/intake/scaleMatLayout.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { drawMat } from '../../src/plate/mat.ts';
import { matPdf } from '../../src/plate/matPdf.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { askPython } from './python.ts';

/** The mat's PDF as dots, by poppler's pdftoppm. */
function printed(paper: 'A4' | 'Letter', dpi: number): string {
  const stem = join(mkdtempSync(join(tmpdir(), 'knapgauge-')), 'mat');
  writeFileSync(`${stem}.pdf`, matPdf(drawMat(paper)), 'latin1');
  const run = spawnSync('pdftoppm', ['-r', String(dpi), '-gray', '-png', '-singlefile', `${stem}.pdf`, stem]);
  if (run.error) throw run.error;
  if (run.status !== 0) throw new Error(String(run.stderr));
  return `${stem}.png`;
}

describe('the printed mat measured in its PDF (poppler’s dots, python3-opencv’s aruco)', () => {
  it.each(['A4', 'Letter'] as const)(
    'of %s has every marker and the bar within 0.1 mm at 600 dots an inch',
    (paper) => {
      const { markers, bar, sheet } = matLayout(paper);
      const answer = askPython<{ markers: { id: number; corners: number[] }[]; bar: [number, number] }>(
        `
import cv2
g = cv2.imread(data["file"], cv2.IMREAD_GRAYSCALE)
corners, ids, _ = cv2.aruco.detectMarkers(g, cv2.aruco.Dictionary_get(cv2.aruco.DICT_4X4_50))
mm = 25.4 / 600
found = [{"id": int(i), "corners": [float(v) * mm for v in c.flatten()]} for c, i in zip(corners, ids.flatten())]
row = g[int(round(data["row"] / mm))]
dark = [k for k in range(int(data["from"] / mm), int(data["to"] / mm)) if row[k] < 128]
print(json.dumps({"markers": found, "bar": [dark[0] * mm, (dark[-1] + 1) * mm]}))`,
        {
          file: printed(paper, 600),
          row: sheet.top - (bar.bottom + bar.top) / 2,
          from: bar.left - 3 - sheet.left,
          to: bar.right + 3 - sheet.left,
        },
      );
      expect(answer.markers.map(({ id }) => id).sort((a, b) => a - b)).toEqual(markers.map(({ id }) => id));
      for (const { id, corners } of answer.markers) {
        const own = markers.find((marker) => marker.id === id)!.corners;
        for (let k = 0; k < 8; k += 2) {
          expect(Math.abs(corners[k] - (own[k] - sheet.left))).toBeLessThan(0.1);
          expect(Math.abs(corners[k + 1] - (sheet.top - own[k + 1]))).toBeLessThan(0.1);
        }
      }
      expect(answer.bar[1] - answer.bar[0]).toBeCloseTo(100, 1);
    },
  );

  it('is found by our own eye, at the scale it was made dots with: 150 an inch', async () => {
    const { cv } = await loadOpencv();
    const photo = await readPhoto(readFileSync(printed('Letter', 150)), decodeInNode);
    const scale = findMat(photo, DEFAULT_SCALE_SETTINGS, cv)!;
    expect(scale.pxPerMm / (150 / 25.4)).toBeCloseTo(1, 3);
    expect(scale.evidence).toMatchObject({ kind: 'mat', paper: 'Letter' });
    expect(scale.evidence.kind === 'mat' && scale.evidence.markers.length).toBe(20);
  });
});
