import type { Warning } from '../geometry/types.ts';
import type { Findings } from './repair.ts';
import type { RepairReport } from './types.ts';
import { count } from './wording.ts';

/** Share of the triangles above which it is no accident that they have no area. */
const MANY_DEGENERATE = 0.05;

/** What repair did or had to leave, for a person to know. `findings` in millimetres like the report. */
export function repairWarnings(report: RepairReport, findings: Findings): Warning[] {
  const warnings: Warning[] = [];
  const warn = (code: string, text: string): void => {
    warnings.push({ code, text });
  };
  if (report.componentsFound > 1) {
    warn(
      'several-pieces',
      `The file holds ${count(report.componentsFound, 'separate piece')}: the largest was kept and ${count(report.componentTrianglesDropped, 'triangle')} of the rest, ${percent(findings.areaShareDropped)} of the surface, were dropped.`,
    );
  }
  if (report.degenerateDropped > MANY_DEGENERATE * report.trianglesRead) {
    warn(
      'degenerate-dropped',
      `${count(report.degenerateDropped, 'triangle')} of ${report.trianglesRead} had no area and were dropped, as where a part of the file was lost.`,
    );
  }
  if (report.nonManifoldEdges > 0) {
    warn(
      'non-manifold',
      `More than two triangles meet at ${count(report.nonManifoldEdges, 'edge')}; there the surface follows its flattest continuation.`,
    );
  }
  if (findings.numCut > 0) {
    warn(
      'one-sided',
      `The surface can't be given an outside everywhere (as on a one-sided strip); it was cut along ${count(findings.numCut, 'edge')}.`,
    );
  }
  if (report.holesClosed > 0) {
    warn(
      'holes-closed',
      `${count(report.holesClosed, 'small hole')} in the scan ${report.holesClosed === 1 ? 'was' : 'were'} closed; the largest had a rim of ${length(findings.largestHoleClosed)}.`,
    );
  }
  if (report.holesLeft > 0) {
    warn(
      'open-surface',
      `The scan is open: ${count(report.holesLeft, 'hole')} ${report.holesLeft === 1 ? 'is' : 'are'} left, the largest with a rim of ${length(report.largestHoleLeft)}.`,
    );
  }
  return warnings;
}

function percent(share: number): string {
  return `${share < 0.0005 ? 'less than 0.1' : (100 * share).toFixed(1)} %`;
}

function length(millimetres: number): string {
  return `${Number(millimetres.toPrecision(2))} mm`;
}
