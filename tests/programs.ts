// The programs that `npm test` starts, and the folder for their reports. The folder is removed when the run ends.
// A signal breaks the run off: it goes on to the programs at work, and the run ends after them, because a program
// that is stopped may still write its report.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { constants, tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../', import.meta.url));
const PROGRAMS = join(ROOT, 'node_modules', '.bin');
const ENVIRONMENT = { ...process.env, PATH: `${PROGRAMS}${delimiter}${process.env['PATH']}` };

/** Programs write their reports here. */
export const reports = mkdtempSync(join(tmpdir(), 'blendbine-tests-'));
process.once('exit', () => rmSync(reports, { recursive: true, force: true }));

const running = new Set<ChildProcess>();
let isBrokenOff = false;

/** The exit code of a program; `null` where it did not start or was killed. Never comes in a run broken off. */
function ended(child: ChildProcess): Promise<number | null> {
  running.add(child);
  return new Promise((done) => {
    const end = (status: number | null) => {
      running.delete(child);
      if (!isBrokenOff) done(status);
    };
    child.once('error', () => end(null));
    child.once('close', end);
  });
}

async function breakOff(signal: 'SIGINT' | 'SIGTERM'): Promise<void> {
  isBrokenOff = true;
  const closed = [...running].map((child) => new Promise((done) => child.once('close', done)));
  for (const child of running) child.kill(signal);
  await Promise.all(closed);
  process.exit(128 + constants.signals[signal]);
}

for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.once(signal, () => void breakOff(signal));
}

/** Runs a program of node_modules, its output going straight to the terminal. */
export async function run(
  program: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv = {},
): Promise<number | null> {
  const child = spawn(program, args, {
    cwd: ROOT,
    stdio: ['ignore', 'inherit', 'inherit'],
    shell: process.platform === 'win32',
    env: { ...ENVIRONMENT, ...env },
  });
  return await ended(child);
}

/** Runs a program of node_modules and keeps its output until it has ended. */
export async function runAside(program: string, args: readonly string[]) {
  const begun = performance.now();
  const child = spawn(program, args, {
    cwd: ROOT,
    stdio: ['ignore', 'pipe', 'pipe'],
    shell: process.platform === 'win32',
    env: ENVIRONMENT,
  });
  const output: Buffer[] = [];
  for (const stream of [child.stdout, child.stderr]) {
    stream.on('data', (bytes: Buffer) => output.push(bytes));
  }
  const status = await ended(child);
  return { status, output: Buffer.concat(output), milliseconds: performance.now() - begun };
}
