// npm run samples [-- NAME…]: knaps the demo drawer anew, or only the named pieces. The same bytes every time.
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const here = fileURLToPath(new URL('.', import.meta.url));
const { module } = await runnerImport(`${here}main.ts`, { configFile: false, logLevel: 'error' });
await module.writeSamples(fileURLToPath(new URL('..', import.meta.url)), process.argv.slice(2));
