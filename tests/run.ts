// `npm test`: every check of the project in one command, from the data tables to the journeys in a
// browser. The journeys wait for pages a good part of their time: the other checks fill it, at a lower priority
// and one after the other. All run although some failed, so that one run shows all faults.
// Ends with one line, `N passed, N failed`; exit code 0 only if nothing failed and tests did run.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { constants, setPriority, tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findBrowser } from './e2e/support/browser.ts';
import { canInstallBrowser, HOW_TO_GET_A_BROWSER, installBrowser } from './install-browser.ts';
import {
  add,
  isGood,
  journeyTally,
  listedJourneys,
  NOTHING,
  ONE_FAILED,
  ONE_PASSED,
  readReport,
  summaryLine,
  unitFailures,
  unitTally,
  type Tally,
} from './tally.ts';

const ROOT = fileURLToPath(new URL('../', import.meta.url));
const PROGRAMS = join(ROOT, 'node_modules', '.bin');
const reports = mkdtempSync(join(tmpdir(), 'blendbine-tests-'));

const ENVIRONMENT = { ...process.env, PATH: `${PROGRAMS}${delimiter}${process.env['PATH']}` };

/** Runs a program of node_modules, its output going straight to the terminal. */
async function run(program: string, args: readonly string[], env: NodeJS.ProcessEnv = {}) {
  const child = spawn(program, args, {
    cwd: ROOT,
    stdio: ['ignore', 'inherit', 'inherit'],
    shell: process.platform === 'win32',
    env: { ...ENVIRONMENT, ...env },
  });
  return await ended(child);
}

/** The exit code of a program; `null` where it did not start or was killed. */
function ended(child: ChildProcess): Promise<number | null> {
  return new Promise((done) => {
    child.once('error', () => done(null));
    child.once('close', done);
  });
}

/** A program that gives way to others; its output is kept until it has ended. */
async function runBeside(program: string, args: readonly string[]) {
  const child = spawn(program, args, {
    cwd: ROOT,
    stdio: ['ignore', 'pipe', 'pipe'],
    shell: process.platform === 'win32',
    env: ENVIRONMENT,
  });
  if (child.pid !== undefined) setPriority(child.pid, constants.priority.PRIORITY_BELOW_NORMAL);
  const output: Buffer[] = [];
  for (const stream of [child.stdout, child.stderr]) {
    stream.on('data', (bytes: Buffer) => output.push(bytes));
  }
  return { status: await ended(child), output: Buffer.concat(output) };
}

/** A check that runs beside the journeys, told in one piece when it has ended. */
async function beside(
  name: string,
  tallied: (status: number | null) => Tally,
  program: string,
  ...args: readonly string[]
): Promise<Tally> {
  const begun = performance.now();
  const { status, output } = await runBeside(program, args);
  console.log(`\n== ${name}`);
  process.stdout.write(output);
  return count(name, tallied(status), performance.now() - begun);
}

/** A check that has one answer: it holds or it does not. */
const holds = (status: number | null): Tally => (status === 0 ? ONE_PASSED : ONE_FAILED);

async function testsBeside(name: string, project: string): Promise<void> {
  const file = join(reports, `${project}.json`);
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${file}`];
  const tallied = (status: number | null): Tally => {
    const report = readReport(file);
    if (report === undefined) return ONE_FAILED;
    failures.push(...unitFailures(report));
    return unitTally(report, status);
  };
  executed(await beside(name, tallied, 'vitest', 'run', '--project', project, ...reporters));
}

async function playwright(reporter: string, ...args: string[]) {
  const file = join(reports, `journeys-${args.length}.json`);
  const env = { PLAYWRIGHT_JSON_OUTPUT_FILE: file };
  const exitCode = await run('playwright', ['test', `--reporter=${reporter}`, ...args], env);
  return { exitCode, report: readReport(file) };
}

function browserIsThere(): boolean {
  if (findBrowser() !== undefined) return true;
  if (!canInstallBrowser()) return false;
  console.log('No browser found; installing Chromium with apt-get ...');
  return installBrowser() && findBrowser() !== undefined;
}

/** Journeys that were not run, and why. */
async function notRun(reason: string): Promise<Tally> {
  console.log(`The browser journeys were not run: ${reason}`);
  const { report } = await playwright('json', '--list');
  return report === undefined
    ? ONE_FAILED
    : { passed: 0, failed: 0, skipped: listedJourneys(report) };
}

async function journeys(siteIsBuilt: boolean): Promise<Tally> {
  if (!siteIsBuilt) return notRun('the site could not be built.');
  if (!browserIsThere()) return notRun(`there is no browser here. ${HOW_TO_GET_A_BROWSER}`);
  const { exitCode, report } = await playwright('list,json');
  return report === undefined ? ONE_FAILED : journeyTally(report, exitCode);
}

let total = NOTHING;
let testsExecuted = 0;
const summary: string[] = [];
/** Failed tests whose names other output has buried by the end of the run. */
const failures: string[] = [];

function count(name: string, tally: Tally, milliseconds: number): Tally {
  total = add(total, tally);
  summary.push(`${name}: ${summaryLine(tally)} (${(milliseconds / 1000).toFixed(1)} s)`);
  return tally;
}

/** Tests that ran, whatever they found. */
function executed({ passed, failed }: Tally): void {
  testsExecuted += passed + failed;
}

async function step(name: string, check: () => Promise<Tally>): Promise<Tally> {
  console.log(`\n== ${name}`);
  const begun = performance.now();
  return count(name, await check(), performance.now() - begun);
}

async function besideTheJourneys(siteIsBuilt: boolean): Promise<void> {
  await beside('Types', holds, 'npm', 'run', '--silent', 'check:types');
  await beside('Lint', holds, 'oxlint', '--type-aware', '--deny-warnings');
  await beside('Lint of components', holds, 'eslint', '--max-warnings', '0', '.');
  await beside('Format', holds, 'npm', 'run', '--silent', 'check:format');
  await beside('Nothing unused', holds, 'knip');
  await testsBeside('Unit tests', 'unit');
  if (siteIsBuilt) await testsBeside('The built site', 'built');
}

await step('Generated types', async () => holds(await run('svelte-kit', ['sync'])));
const built = await step('Build', async () =>
  holds(await run('vite', ['build', '--logLevel', 'warn'])),
);
const siteIsBuilt = built.failed === 0;
const others = besideTheJourneys(siteIsBuilt);
executed(await step('Journeys', () => journeys(siteIsBuilt)));
await others;

rmSync(reports, { recursive: true, force: true });
for (const failure of failures) console.log(`\nFailed: ${failure}`);
console.log(`\n${summary.join('\n')}\n`);
console.log(summaryLine(total));
process.exitCode = isGood(total, testsExecuted) ? 0 : 1;
