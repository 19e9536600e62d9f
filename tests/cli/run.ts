import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { OutlineShape } from '../pieces/outlines.ts';
import { makePiece } from '../pieces/piece.ts';
import { plyBytes } from './plyFile.ts';

const BIN = fileURLToPath(new URL('../../src/cli/knapgauge.mjs', import.meta.url));

export interface Run {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** `knapgauge …` as a child process, its output not a terminal. */
export function knapgauge(args: readonly string[], cwd?: string): Run {
  const run = spawnSync(process.execPath, [BIN, ...args], { encoding: 'utf8', cwd });
  return { code: run.status, out: run.stdout, err: run.stderr };
}

export function newFolder(): string {
  return mkdtempSync(join(tmpdir(), 'knapgauge-'));
}

/** Names and bytes of the files in a folder. */
export function filesIn(folder: string): Map<string, Buffer> {
  return new Map(
    readdirSync(folder)
      .sort()
      .map((name) => [name, readFileSync(join(folder, name))]),
  );
}

/** Every file under a folder and the SHA-256 of its bytes. */
export function bytesUnder(folder: string): Map<string, string> {
  const found = new Map<string, string>();
  const walk = (here: string): void => {
    for (const name of readdirSync(here).toSorted()) {
      const path = join(here, name);
      if (statSync(path).isDirectory()) walk(path);
      else found.set(relative(folder, path), createHash('sha256').update(readFileSync(path)).digest('hex'));
    }
  };
  walk(folder);
  return found;
}

/** Starts the command and ends it as a power cut would. */
export async function killedAfter(ms: number, args: readonly string[]): Promise<void> {
  const child = spawn(process.execPath, [BIN, ...args], {
    stdio: 'ignore',
  });
  const ended = new Promise((resolve) => child.once('exit', resolve));
  await new Promise((resolve) => setTimeout(resolve, ms));
  child.kill('SIGKILL');
  await ended;
}

const made = new Map<string, Uint8Array>();

/** A small piece of that plan, as the bytes of a PLY. The caller gets a copy of its own. */
export function smallScan(shape: OutlineShape): Uint8Array {
  let bytes = made.get(shape);
  if (bytes === undefined) {
    const piece = makePiece({
      outline: { shape, length: 60, width: 30, waviness: 0.4 },
      faceA: { height: 5, angle: 26 },
      faceB: { height: 3.5, angle: 20 },
      seed: 3,
      triangles: 6_000,
    });
    bytes = plyBytes(piece.mesh);
    made.set(shape, bytes);
  }
  return bytes.slice();
}
