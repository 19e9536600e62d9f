/** Runs one piece of work of work.ts in a process of its own: node work.mjs NAME FILE RUNS; prints JSON. */
import { pathToFileURL } from 'node:url';

const [bundle, name, file, runs] = process.argv.slice(2);
const work = await import(pathToFileURL(bundle).href);
console.log(JSON.stringify(await work[name](file, Number(runs))));
