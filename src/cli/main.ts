import { Command } from 'commander';
import { ENGINE } from '../record/engine.ts';
import { EXIT } from './exitCodes.ts';

const program = new Command('knapgauge')
  .description('Measures bifaces from 3D scans and photographs, offline.')
  .version(`${ENGINE.version} (${ENGINE.commit})`)
  .showHelpAfterError('(knapgauge --help lists what there is)');
const COMMANDS: ReadonlyMap<string, () => Promise<Command>> = new Map([
  ['measure', async () => (await import('./measure.ts')).measureCommand()],
  ['drawer', async () => (await import('./drawer.ts')).drawerCommand()],
  ['merge', async () => (await import('./merge.ts')).mergeCommand()],
  ['check', async () => (await import('./check.ts')).checkCommand()],
  ['mat', async () => (await import('./mat.ts')).matCommand()],
  ['plate', async () => (await import('./plate.ts')).plateCommand()],
  ['repeat', async () => (await import('./repeat.ts')).repeatCommand()],
  ['compare', async () => (await import('./compare.ts')).compareCommand()],
]);
// A command that is named is loaded alone: most of the start would go into the others. Help tells of all.
const named = COMMANDS.get(process.argv[2]);
for (const load of named === undefined ? COMMANDS.values() : [named]) {
  program.addCommand((await load()).copyInheritedSettings(program));
}
for (const command of [program, ...program.commands]) {
  command.exitOverride(({ exitCode }) => process.exit(exitCode === 0 ? EXIT.fine : EXIT.usage));
}

// A reader that has seen enough (`| head`) is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(process.exitCode ?? EXIT.fine);
  throw error;
});

await program.parseAsync();
