/** What the program is made of, for the build: a bill of materials and the licences. Node built-ins only. */
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './ensure.mjs';

/**
 * Bill of materials by the CycloneDX standard, as npm writes it from the lock file, without clock and serial number, so that
 * the same source gives the same bytes.
 */
export function billOfMaterials() {
  const args = ['sbom', '--sbom-format', 'cyclonedx', '--package-lock-only'];
  const npm = process.env.npm_execpath;
  const [command, first] = npm?.endsWith('.js') ? [process.execPath, [npm]] : ['npm', []];
  // What a build sets for itself would make npm leave out what tests need as well as the program, as `--omit dev` does.
  const env = { ...process.env, NODE_ENV: 'development' };
  const run = spawnSync(command, [...first, ...args], {
    cwd: ROOT,
    env,
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  });
  if (run.status !== 0) throw new Error(`npm wrote no bill of materials: ${run.stderr || run.error}`);
  const { serialNumber: _, ...bill } = JSON.parse(run.stdout);
  const { timestamp: __, ...metadata } = bill.metadata;
  const isForBuilding = ({ properties }) =>
    properties?.some(({ name, value }) => name === 'cdx:npm:package:development' && value === 'true') ===
    true;
  const left = new Set(bill.components.filter(isForBuilding).map((component) => component['bom-ref']));
  const components = bill.components.filter((component) => !left.has(component['bom-ref']));
  const dependencies = bill.dependencies
    .filter(({ ref }) => !left.has(ref))
    .map(({ ref, dependsOn = [] }) => ({ ref, dependsOn: dependsOn.filter((other) => !left.has(other)) }));
  return `${JSON.stringify({ ...bill, metadata, components, dependencies }, null, 2)}\n`;
}

/** Every package that is not for building and testing alone and is installed: name, version, licence and its text. */
export function shippedPackages() {
  const { packages } = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8'));
  return Object.entries(packages)
    .filter(([path, { dev, devOptional }]) => path !== '' && !dev && !devOptional)
    .filter(([path]) => existsSync(join(ROOT, path, 'package.json')))
    .map(([path, { version }]) => {
      const { name, license, licenses } = JSON.parse(readFileSync(join(ROOT, path, 'package.json'), 'utf8'));
      const text = licenceText(join(ROOT, path));
      const named = license?.type ?? license ?? licenses?.[0]?.type ?? (/\bMIT\b/.test(text) ? 'MIT' : '');
      return { name, version, licence: named || 'see the text', text };
    })
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
}

function licenceText(folder) {
  const files = readdirSync(folder).filter((file) => /^(?:licen[cs]e|copying|notice|ofl)/i.test(file));
  return files
    .sort()
    .filter((file) => /(?:^[^.]+|\.(?:md|txt))$/i.test(file))
    .map((file) => readFileSync(join(folder, file), 'utf8').trim())
    .join('\n\n');
}

const escaped = (text) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

/** A page of the licences, without script; its style is a file of its own, as the policy asks. */
export function licencesPage() {
  const own = readFileSync(join(ROOT, 'LICENSE'), 'utf8').trim();
  const entries = [{ name: 'Knapgauge', version: '', licence: 'MIT', text: own }, ...shippedPackages()].map(
    ({ name, version, licence, text }) =>
      `<li><details><summary>${escaped(name)} ${escaped(version)} <span>${escaped(licence)}</span></summary>` +
      `<pre>${escaped(text || 'The package carries no text of its licence.')}</pre></details></li>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'self'">
<title>Licences · Knapgauge</title>
<link rel="stylesheet" href="licences.css">
</head>
<body>
<h1>Licences</h1>
<p>Knapgauge and everything that it is made of. The same list for machines: <a href="bom.cdx.json">bill of materials (CycloneDX)</a>.</p>
<ul>
${entries.join('\n')}
</ul>
</body>
</html>
`;
}

export const LICENCES_STYLE = `:root { color-scheme: light dark; }
body { max-width: 52rem; margin: 2rem auto; padding: 0 1rem; font: 1rem/1.5 system-ui, sans-serif; }
ul { list-style: none; padding: 0; }
li { border-top: 1px solid color-mix(in srgb, currentColor 25%, transparent); }
summary { padding: 0.375rem 0; cursor: pointer; }
summary span { float: right; }
pre { white-space: pre-wrap; overflow-wrap: anywhere; font-size: 0.8125rem; }
`;
