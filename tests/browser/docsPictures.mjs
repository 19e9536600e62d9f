/** `npm run docs:pictures`: the tutorial's pictures from the built page, driven in a Chromium, into docs/pictures. */
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const { module } = await runnerImport(fileURLToPath(new URL('./docsPictures.ts', import.meta.url)));
for (const path of await module.takePictures()) console.log(path);
