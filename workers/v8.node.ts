import { setFlagsFromString } from 'node:v8';

/**
 * V8's settings for the command line, whose threads do the same work on piece after piece, each compiling it for itself.
 * Node 20, 22 and 24 know them all; none of them changes what is computed.
 */
export const V8_SETTINGS: readonly string[] = [
  // Code that runs optimised looks unused to V8, which throws away what it was made from: piece after piece it was made anew.
  '--no-flush-bytecode',
  // Every collection of the whole heap takes with it the code of functions and the shapes of objects that last as long as one
  // piece does. MB until the first; it holds for threads that are started later.
  '--initial-old-space-size=256',
  // Half of what V8 draws into one function: large ones take long to compile and are hardly faster.
  '--max-inlined-bytecode-size-cumulative=460',
];

/** Sets V8 up for this process and for every thread that it starts from now on. */
export function setUpV8(): void {
  for (const setting of V8_SETTINGS) setFlagsFromString(setting);
}
