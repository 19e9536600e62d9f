import { execFileSync } from 'node:child_process';
import react from '@vitejs/plugin-react';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';
import { SOURCE_MARK, sourceHash } from './src/cli/nodeBuild.mjs';

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

/** Leaves in the build a mark of the source that it was made from, by which the command line knows it is fresh. */
function markSource(): Plugin {
  return {
    name: 'mark-source',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: SOURCE_MARK, source: sourceHash() });
    },
  };
}

/**
 * Two builds from one file: the page (`vite build`) and, with `--mode node`, the command line with its worker for
 * Node's worker threads. Both take the same engine from src/ and workers/.
 */
export default defineConfig(({ mode }) => {
  const define = { __COMMIT__: JSON.stringify(commit()) };
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
          output: { entryFileNames: '[name].js' },
        },
      },
      ssr: { external: true },
    };
  }
  return {
    define,
    plugins: [react()],
    build: { outDir: 'dist/page', target: 'es2022' },
    worker: { format: 'es' },
    optimizeDeps: { include: ['opencv-ts', 'comlink'] },
    test: {
      include: ['tests/**/*.test.ts'],
      testTimeout: 60_000,
      reporters: ['default', ['json', { outputFile: 'tests/output/results.json' }]],
      // opencv-ts exports an object with a `then`: default interop would await it for ever.
      deps: { interopDefault: false },
    },
  };
});
