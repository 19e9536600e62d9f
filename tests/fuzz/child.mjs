/** Runs cases of one reader in a process of its own: node child.mjs BUNDLE ORDER; tells over the channel to its parent. */
import { pathToFileURL } from 'node:url';

const [bundle, order] = process.argv.slice(2);
console.log = () => undefined;
const { runCases } = await import(pathToFileURL(bundle).href);
await runCases(JSON.parse(order), (told) => new Promise((resolve) => process.send(told, resolve)));
process.disconnect();
