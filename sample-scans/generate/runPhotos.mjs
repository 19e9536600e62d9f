// npm run samples:photos: photographs the demo drawer's pieces anew.
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const here = fileURLToPath(new URL('.', import.meta.url));
const { module } = await runnerImport(`${here}photos.ts`, {
  configFile: false,
  logLevel: 'error',
  define: { __COMMIT__: '"samples"' },
});
await module.writePhotos(fileURLToPath(new URL('..', import.meta.url)));
