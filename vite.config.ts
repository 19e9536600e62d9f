import react from '@vitejs/plugin-react';
import { defineConfig } from 'vitest/config';

/**
 * Two builds from one file: the page (`vite build`) and, with `--mode node`, the command line with its worker for
 * Node's worker threads. Both take the same engine from src/ and workers/.
 */
export default defineConfig(({ mode }) => {
  if (mode === 'node') {
    return {
      build: {
        ssr: true,
        target: 'node20',
        outDir: 'dist/node',
        rolldownOptions: {
          input: { main: 'src/cli/main.ts', engine: 'workers/engine.node.ts' },
          output: { entryFileNames: '[name].js' },
        },
      },
      ssr: { external: true },
    };
  }
  return {
    plugins: [react()],
    build: { outDir: 'dist/page', target: 'es2022' },
    worker: { format: 'es' },
    optimizeDeps: { include: ['opencv-ts', 'comlink'] },
    test: {
      include: ['tests/**/*.test.ts'],
      testTimeout: 60_000,
      // opencv-ts exports an object with a `then`: default interop would await it for ever.
      deps: { interopDefault: false },
    },
  };
});
