import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, utimesSync, writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join, relative, sep } from 'node:path';
import react from '@vitejs/plugin-react';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';
import { PAGE_POLICY, policyFor } from './src/app/policy.ts';
import { SOURCE_MARK, sourceHash } from './src/cli/nodeBuild.mjs';
import { billOfMaterials, LICENCES_STYLE, licencesPage } from './src/cli/supply.mjs';

/** The revision that is being built, or `unknown` outside of a clone. */
function commit(): string {
  try {
    const revision = execFileSync('git', ['rev-parse', '--short=12', 'HEAD'], {
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    return revision.toString().trim();
  } catch {
    return 'unknown';
  }
}

/**
 * Leaves in the build a mark of the source that it was made from, by which the command line knows it is fresh; as old as the
 * beginning of the build, so that what was changed meanwhile is newer.
 */
function markSource(): Plugin {
  const began = new Date();
  return {
    name: 'mark-source',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: SOURCE_MARK, source: sourceHash() });
    },
    writeBundle({ dir = '' }) {
      utimesSync(join(dir, SOURCE_MARK), began, began);
    },
  };
}

/** Lays what the program is made of beside the page: licences to read, and a bill of materials. */
function supply(): Plugin {
  return {
    name: 'supply',
    apply: 'build',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: 'licences.html', source: licencesPage() });
      this.emitFile({ type: 'asset', fileName: 'licences.css', source: LICENCES_STYLE });
      this.emitFile({ type: 'asset', fileName: 'bom.cdx.json', source: billOfMaterials() });
    },
  };
}

/** Holds the built page to its own origin, also on a host that sends no headers. */
function contentPolicy(): Plugin {
  return {
    name: 'content-policy',
    apply: 'build',
    transformIndexHtml: () => [
      {
        tag: 'meta',
        attrs: { 'http-equiv': 'Content-Security-Policy', content: PAGE_POLICY },
        injectTo: 'head-prepend',
      },
    ],
  };
}

const SERVICE_WORKER = 'service-worker.js';

/** Writes into the service worker what it has to keep: every file of the build, and a mark of their contents. */
function offline(): Plugin {
  return {
    name: 'offline',
    apply: 'build',
    buildStart() {
      this.emitFile({ type: 'chunk', id: 'workers/service.browser.ts', fileName: SERVICE_WORKER });
    },
    writeBundle({ dir = '' }) {
      const files = readdirSync(dir, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile() && entry.name !== SERVICE_WORKER)
        .map((entry) => relative(dir, join(entry.parentPath, entry.name)).split(sep).join('/'))
        .toSorted();
      const hash = createHash('sha256');
      for (const file of files) hash.update(file).update(readFileSync(join(dir, file)));
      const path = join(dir, SERVICE_WORKER);
      const script = readFileSync(path, 'utf8')
        .replace('__BUILT_FILES__', JSON.stringify(files))
        .replaceAll('__BUILT_MARK__', JSON.stringify(hash.digest('hex').slice(0, 16)));
      writeFileSync(path, script);
    },
  };
}

/** What a host should send, sent by `vite preview`. */
function policyHeaders(): Plugin {
  return {
    name: 'policy-headers',
    configurePreviewServer({ middlewares }) {
      middlewares.use((request, response, next) => {
        response.setHeader('Content-Security-Policy', policyFor(request.url ?? '/'));
        response.setHeader('X-Content-Type-Options', 'nosniff');
        response.setHeader('Referrer-Policy', 'no-referrer');
        next();
      });
    },
  };
}

/**
 * Two builds from one file: the page (`vite build`) and, with `--mode node`, the command line with its worker for
 * Node's worker threads. Both take the same engine from src/ and workers/.
 */
export default defineConfig(({ mode }) => {
  const define = {
    __COMMIT__: JSON.stringify(commit()),
    __SOURCE__: JSON.stringify(sourceHash().slice(0, 16)),
  };
  if (mode === 'node') {
    return {
      define,
      plugins: [markSource()],
      build: {
        ssr: true,
        target: 'node20',
        outDir: 'dist/node',
        emptyOutDir: true,
        rolldownOptions: {
          input: { main: 'src/cli/main.ts', engine: 'workers/engine.node.ts' },
          // All in one folder: whichever chunk starts worker threads finds the engine beside itself.
          output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js' },
        },
      },
      // Bundled, except what is large, seldom needed or native: reading hundreds of small files took longer than running them.
      ssr: { noExternal: true, external: ['sharp', 'opencv-ts', 'pdf-lib', '@pdf-lib/fontkit'] },
    };
  }
  return {
    define,
    plugins: [react(), supply(), contentPolicy(), offline(), policyHeaders()],
    // A file of its own for every asset: the policy allows none inside the page.
    build: {
      outDir: 'dist/page',
      target: 'es2022',
      assetsInlineLimit: 0,
      chunkSizeWarningLimit: 2000,
      // Who starts the workbench is to see its address, and no advice on how it was built.
      rolldownOptions: { checks: { pluginTimings: false } },
    },
    worker: { format: 'es' },
    optimizeDeps: { include: ['opencv-ts', 'comlink'] },
    test: {
      projects: [
        {
          extends: true,
          test: {
            name: 'browser',
            include: ['tests/browser/**/*.test.ts'],
            globalSetup: 'tests/browser/setup.ts',
          },
        },
        {
          extends: true,
          test: { name: 'command', include: ['tests/cli/**/*.test.ts'] },
        },
        {
          extends: true,
          // These leave nothing behind: they share their modules, which otherwise are compiled anew for each file.
          test: {
            name: 'engine',
            include: ['tests/**/*.test.ts'],
            exclude: ['tests/browser/**', 'tests/cli/**'],
            isolate: false,
          },
        },
      ],
      // Two at once on two cores: what drives a browser mostly waits.
      maxWorkers: Math.max(2, availableParallelism() - 1),
      testTimeout: 120_000,
      hookTimeout: 120_000,
      // What a page comes to show may wait for other tests' work: a second is not enough on two cores.
      expect: { poll: { timeout: 30_000 } },
      reporters: ['default', ['json', { outputFile: 'tests/output/results.json' }]],
      // opencv-ts exports an object with a `then`: default interop would await it for ever.
      deps: { interopDefault: false },
    },
  };
});
