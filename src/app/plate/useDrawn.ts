import { useEffect, useRef, useState } from 'react';
import type { DrawnPlate, PlateOrder } from '../../../workers/plateMessages.ts';
import type { PlateStyle } from '../../plate/plateStyle.ts';
import type { Piece } from '../state/pieces.ts';
import { startPress } from './press.ts';

export interface PlateView {
  readonly drawn: DrawnPlate | null;
  readonly busy: boolean;
  readonly fault: string;
  /** While scans are read for what the style wants of them: how many are done, of how many. */
  readonly reading: { readonly done: number; readonly all: number } | null;
  /** Numbers of pieces whose scan could not be read again; they are drawn with what is at hand. */
  readonly unread: readonly string[];
}

const NOTHING: PlateView = { drawn: null, busy: false, fault: '', reading: null, unread: [] };
/** A change waits so long for the next one, ms. */
const PAUSE = 150;

/** What the press has of each piece; pieces are sent once, however often they are drawn. */
const told = new Map<string, Piece>();

/** Brings the press up to the pieces that are to be drawn. */
async function tell(pieces: readonly Piece[]): Promise<void> {
  const press = startPress();
  const keys = new Set(pieces.map(({ id }) => id));
  const gone = [...told.keys()].filter((key) => !keys.has(key));
  for (const key of gone) told.delete(key);
  if (gone.length > 0) await press.drop(gone);
  for (const piece of pieces) {
    const { id, seen, catalogue } = piece;
    const before = told.get(id);
    if (seen === undefined || (before?.seen === seen && before.catalogue === catalogue)) continue;
    told.set(id, piece);
    await press.hold(id, {
      record: { ...seen.record, catalogue },
      reliefA: seen.reliefA,
      ...(seen.reliefB === undefined ? {} : { reliefB: seen.reliefB }),
    });
  }
}

/**
 * Draws a moment after the last change: first with what is at hand, then, scan by scan, with what the style wants of the
 * scans. What was asked before and comes late is let go.
 */
export function useDrawn(pieces: readonly Piece[], style: PlateStyle, page: number): PlateView {
  const [view, setView] = useState(NOTHING);
  const steady = useSteady(pieces);
  useEffect(() => {
    if (steady.length === 0) {
      setView(NOTHING);
      return;
    }
    let current = true;
    const show = (part: Partial<PlateView>): void => {
      if (current) setView((before) => ({ ...before, ...part }));
    };
    show({ busy: true });
    const timer = setTimeout(async () => {
      try {
        await tell(steady);
        await drawAll(steady, style, page, show, () => current);
      } catch (error) {
        show({ drawn: null, reading: null, fault: error instanceof Error ? error.message : String(error) });
      }
      show({ busy: false });
    }, PAUSE);
    return () => {
      current = false;
      clearTimeout(timer);
    };
  }, [steady, style, page]);
  return view;
}

async function drawAll(
  pieces: readonly Piece[],
  style: PlateStyle,
  page: number,
  show: (part: Partial<PlateView>) => void,
  wanted: () => boolean,
): Promise<void> {
  const press = startPress();
  const order = orderOf(pieces, style);
  const drawn = await press.draw(order, page);
  const all = drawn.lacking.length;
  show({ drawn, fault: '', unread: [], reading: all === 0 ? null : { done: 0, all } });
  if (all === 0) return;
  const unread = await readScans(pieces, drawn.lacking, style, wanted, (done) =>
    show({ reading: { done, all } }),
  );
  if (wanted()) show({ drawn: await press.draw(order, page), reading: null, unread });
}

/** Reads the scans of these pieces one after another. Gives the names of those that can't be read. */
async function readScans(
  pieces: readonly Piece[],
  keys: readonly string[],
  style: PlateStyle,
  wanted: () => boolean,
  tellDone: (done: number) => void,
): Promise<readonly string[]> {
  const unread: string[] = [];
  for (const [done, key] of keys.entries()) {
    if (!wanted()) return unread;
    tellDone(done);
    const piece = pieces.find(({ id }) => id === key);
    if (piece === undefined) continue;
    try {
      await startPress().prepare(key, await piece.open(), style);
    } catch {
      unread.push(piece.number || piece.title);
    }
  }
  return unread;
}

/** What the press is to draw. */
export function orderOf(pieces: readonly Piece[], style: PlateStyle): PlateOrder {
  return { keys: pieces.map(({ id }) => id), style };
}

/** The same list as before as long as nothing in it that is drawn has changed, whatever else goes on in the drawer. */
function useSteady(pieces: readonly Piece[]): readonly Piece[] {
  const last = useRef(pieces);
  const same =
    last.current.length === pieces.length &&
    last.current.every(
      ({ id, seen, catalogue }, k) =>
        pieces[k].id === id && pieces[k].seen === seen && pieces[k].catalogue === catalogue,
    );
  if (!same) last.current = pieces;
  return last.current;
}
