#!/usr/bin/env node
// Runs the command line as a process of its own.
import { runCommandLine } from './command-line.ts';
import { STANDARD_INPUT } from './input.ts';

// A reader that has seen enough (`| head`) is no fault.
process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
  if (fault.code !== 'EPIPE') throw fault;
});
const streams = { input: STANDARD_INPUT, out: process.stdout, err: process.stderr };
// What time it is counts from the start of the process.
process.exitCode = await runCommandLine(process.argv.slice(2), streams, 0);
