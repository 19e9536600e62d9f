import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { FAMILIES } from '../../src/measures/catalogue.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { methodsPage } from '../../src/record/methodsPage.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { smallScan } from '../cli/run.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const formats = read('docs/formats.md');

describe('the pages say what the program does', () => {
  let record: SpecimenRecord;

  beforeAll(async () => {
    ({ record } = await measureScan(smallScan('ovate'), 'ovate.ply', DEFAULT_SETTINGS));
  });

  test('docs/methods.md is what the catalogue writes (npm run docs)', () => {
    expect(read('docs/methods.md')).toBe(methodsPage(FAMILIES));
  });

  test('docs/formats.md explains every column of every series', () => {
    const rows = formats.split('\n').filter((line) => line.startsWith('| '));
    for (const [name, table] of Object.entries(record.series)) {
      const start = rows.findIndex((row) => row.startsWith(`| \`${name}\``));
      expect(start, `series ${name}`).toBeGreaterThanOrEqual(0);
      const end = rows.findIndex((row, i) => i > start && !row.startsWith('| |'));
      const part = rows.slice(start, end < 0 ? undefined : end).join('\n');
      for (const column of Object.keys(table)) expect(part, `series ${name}`).toContain(`\`${column}\``);
    }
  });

  test('docs/formats.md explains every setting', () => {
    const optional = { scan: ['unit'], trace: ['base', 'tip'], measure: ['density', 'mass', 'excluded'] };
    for (const part of ['scan', 'trace', 'measure'] as const) {
      for (const key of [...Object.keys(DEFAULT_SETTINGS[part]), ...optional[part]]) {
        expect(formats).toContain(`\`${part}.${key}\``);
      }
    }
  });

  test('no link inside the project is dead', () => {
    const pages = [
      'README.md',
      ...readdirSync(join(ROOT, 'docs'))
        .filter((name) => name.endsWith('.md'))
        .map((name) => `docs/${name}`),
    ];
    for (const page of pages) {
      for (const [, target] of read(page).matchAll(/\]\(([^)#]+)(?:#[^)]*)?\)/g)) {
        if (/^https?:/.test(target)) continue;
        expect(existsSync(join(ROOT, dirname(page), target)), `${page} → ${target}`).toBe(true);
      }
    }
  });
});
