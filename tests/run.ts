// `npm test`: every check of the project in one command, from the data tables to the journeys in a
// browser. Later steps run although earlier ones failed, so that one run shows all faults.
// Ends with one line, `N passed, N failed`; exit code 0 only if nothing failed and tests did run.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
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
  unitTally,
  type Tally,
} from './tally.ts';

const ROOT = fileURLToPath(new URL('../', import.meta.url));
const PROGRAMS = join(ROOT, 'node_modules', '.bin');
const reports = mkdtempSync(join(tmpdir(), 'blendbine-tests-'));

const ENVIRONMENT = { ...process.env, PATH: `${PROGRAMS}${delimiter}${process.env['PATH']}` };

/** Runs a program of node_modules, its output going straight to the terminal. */
function run(program: string, args: readonly string[], env: NodeJS.ProcessEnv = {}) {
  const { status } = spawnSync(program, args, {
    cwd: ROOT,
    stdio: ['ignore', 'inherit', 'inherit'],
    shell: process.platform === 'win32',
    env: { ...ENVIRONMENT, ...env },
  });
  return status;
}

/** A check that has one answer: it holds or it does not. */
const holds = (program: string, ...args: readonly string[]): Tally =>
  run(program, args) === 0 ? ONE_PASSED : ONE_FAILED;

/** A program whose output is kept until it has ended. */
async function runAside(program: string, args: readonly string[]) {
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
  const status = await new Promise<number | null>((done) => {
    child.once('error', () => done(null));
    child.once('close', done);
  });
  return { status, output: Buffer.concat(output), milliseconds: performance.now() - begun };
}

/** Checks of the sources alone: each keeps one core busy, so they run side by side. */
const STATIC_CHECKS: readonly (readonly [string, string, ...string[]])[] = [
  ['Lint', 'eslint', '--max-warnings', '0', '.'],
  ['Types', 'svelte-check', '--tsconfig', './tsconfig.json', '--fail-on-warnings'],
  ['Format', 'prettier', '--check', '--log-level', 'warn', '.'],
  ['Nothing unused', 'knip'],
];

/** Lint takes as long as the others together: it has a core of its own, they take turns on the other. */
async function staticChecks(): Promise<void> {
  const check = async ([name, program, ...args]: (typeof STATIC_CHECKS)[number]) => {
    const { status, output, milliseconds } = await runAside(program, args);
    console.log(`\n== ${name}`);
    process.stdout.write(output);
    count(name, status === 0 ? ONE_PASSED : ONE_FAILED, milliseconds);
  };
  const [lint, ...others] = STATIC_CHECKS;
  const turns = async () => {
    for (const other of others) await check(other);
  };
  await Promise.all([check(lint!), turns()]);
}

function unitTests(project: string): Tally {
  const file = join(reports, `${project}.json`);
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${file}`];
  const exitCode = run('vitest', ['run', '--project', project, ...reporters]);
  const report = readReport(file);
  return report === undefined ? ONE_FAILED : unitTally(report, exitCode);
}

function playwright(reporter: string, ...args: string[]) {
  const file = join(reports, `journeys-${args.length}.json`);
  const env = { PLAYWRIGHT_JSON_OUTPUT_FILE: file };
  const exitCode = run('playwright', ['test', `--reporter=${reporter}`, ...args], env);
  return { exitCode, report: readReport(file) };
}

function browserIsThere(): boolean {
  if (findBrowser() !== undefined) return true;
  if (!canInstallBrowser()) return false;
  console.log('No browser found; installing Chromium with apt-get ...');
  return installBrowser() && findBrowser() !== undefined;
}

/** Journeys that were not run, and why. */
function notRun(reason: string): Tally {
  console.log(`The browser journeys were not run: ${reason}`);
  const { report } = playwright('json', '--list');
  return report === undefined
    ? ONE_FAILED
    : { passed: 0, failed: 0, skipped: listedJourneys(report) };
}

function journeys(siteIsBuilt: boolean): Tally {
  if (!siteIsBuilt) return notRun('the site could not be built.');
  if (!browserIsThere()) return notRun(`there is no browser here. ${HOW_TO_GET_A_BROWSER}`);
  const { exitCode, report } = playwright('list,json');
  return report === undefined ? ONE_FAILED : journeyTally(report, exitCode);
}

let total = NOTHING;
let testsExecuted = 0;
const summary: string[] = [];

function count(name: string, tally: Tally, milliseconds: number): Tally {
  total = add(total, tally);
  summary.push(`${name}: ${summaryLine(tally)} (${(milliseconds / 1000).toFixed(1)} s)`);
  return tally;
}

function step(name: string, check: () => Tally): Tally {
  console.log(`\n== ${name}`);
  const begun = performance.now();
  return count(name, check(), performance.now() - begun);
}

function testStep(name: string, check: () => Tally): void {
  const { passed, failed } = step(name, check);
  testsExecuted += passed + failed;
}

step('Generated types', () => holds('svelte-kit', 'sync'));
await staticChecks();
testStep('Unit tests', () => unitTests('unit'));
const built = step('Build', () => holds('vite', 'build', '--logLevel', 'warn'));
if (built.failed === 0) testStep('The built site', () => unitTests('built'));
testStep('Journeys', () => journeys(built.failed === 0));

rmSync(reports, { recursive: true, force: true });
console.log(`\n${summary.join('\n')}\n`);
console.log(summaryLine(total));
process.exitCode = isGood(total, testsExecuted) ? 0 : 1;
