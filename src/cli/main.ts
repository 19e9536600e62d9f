import { Command } from 'commander';
import { ENGINE } from '../record/engine.ts';
import { checkCommand } from './check.ts';
import { compareCommand } from './compare.ts';
import { drawerCommand } from './drawer.ts';
import { EXIT } from './exitCodes.ts';
import { matCommand } from './mat.ts';
import { measureCommand } from './measure.ts';
import { mergeCommand } from './merge.ts';
import { plateCommand } from './plate.ts';
import { repeatCommand } from './repeat.ts';

const program = new Command('knapgauge')
  .description('Measures bifaces from 3D scans, offline.')
  .version(`${ENGINE.version} (${ENGINE.commit})`)
  .showHelpAfterError('(knapgauge --help lists what there is)');
const commands = [
  measureCommand(),
  drawerCommand(),
  mergeCommand(),
  checkCommand(),
  matCommand(),
  plateCommand(),
  repeatCommand(),
  compareCommand(),
];
for (const command of commands) {
  program.addCommand(command.copyInheritedSettings(program));
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
