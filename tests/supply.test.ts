import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT } from '../src/cli/ensure.mjs';
import { shippedPackages } from '../src/cli/supply.mjs';

interface Locked {
  readonly hasInstallScript?: boolean;
  readonly dev?: boolean;
  readonly license?: string;
}

const { packages } = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')) as {
  packages: Record<string, Locked>;
};

/** Packages that may run a script of their own when they are installed, each with its reason. None at present. */
const MAY_RUN: Readonly<Record<string, string>> = {};
const HOOKS = ['preinstall', 'install', 'postinstall'];

test('no package runs a script when it is installed, but those on the reasoned list', () => {
  const running = Object.entries(packages)
    .filter(([path, locked]) => {
      if (path === '') return false;
      const file = join(ROOT, path, 'package.json');
      // The lock file may not say it: the package itself does.
      const scripts = existsSync(file) ? (JSON.parse(readFileSync(file, 'utf8')).scripts ?? {}) : {};
      return locked.hasInstallScript === true || HOOKS.some((hook) => hook in scripts);
    })
    .map(([path]) => path.replace(/^.*node_modules\//, ''));
  expect(running.filter((name) => !(name in MAY_RUN))).toEqual([]);
  expect(Object.keys(MAY_RUN).filter((name) => !running.includes(name))).toEqual([]);
});

/** Licences that let the program be given away under MIT with no duty but to name them; libvips is linked, not included. */
const FREE =
  /^(?:MIT|ISC|0BSD|BSD-[23]-Clause|Apache-2\.0|BSL-1\.0|OFL-1\.1|Zlib|MIT AND OFL-1\.1|\(MIT AND Zlib\))$/;
const LIBRARIES_OF_THEIR_OWN = /^@img\/sharp-/;

test('every shipped package has a licence that is known and free', () => {
  const shipped = shippedPackages() as { name: string; licence: string }[];
  expect(shipped.length).toBeGreaterThan(30);
  const others = shipped.filter(
    ({ name, licence }) => !FREE.test(licence) && !LIBRARIES_OF_THEIR_OWN.test(name),
  );
  expect(others.map(({ name, licence }) => `${name}: ${licence}`)).toEqual([]);
});
