// `npm test`: every check of the project in one command, from the data tables to the journeys in a
// browser. Later steps run although earlier ones failed, so that one run shows all faults. The journeys have the
// machine to themselves: with the other checks beside them, at a lower priority, all took half as long again.
// Ends with one line, `N passed, N failed`; exit code 0 only if nothing failed and tests did run.
import { join } from 'node:path';
import { findBrowser } from './e2e/support/browser.ts';
import { canInstallBrowser, HOW_TO_GET_A_BROWSER, installBrowser } from './install-browser.ts';
import { reports, run, runAside } from './programs.ts';
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

/** A check that has one answer: it holds or it does not. */
const holds = async (program: string, ...args: readonly string[]): Promise<Tally> =>
  (await run(program, args)) === 0 ? ONE_PASSED : ONE_FAILED;

/** A check by one program, which keeps one core busy. */
type Check = readonly [name: string, program: string, ...args: string[]];
const LINT: Check = ['Lint of components', 'eslint', '--max-warnings', '0', '.'];
const BUILD: Check = ['Build', 'vite', 'build', '--logLevel', 'warn'];
const SHORTER_CHECKS: readonly Check[] = [
  ['Types', 'npm', 'run', '--silent', 'check:types'],
  ['Lint', 'oxlint', '--type-aware', '--deny-warnings'],
  ['Format', 'npm', 'run', '--silent', 'check:format'],
  ['Nothing unused', 'knip'],
];

/** Starts a check; gives a function that prints its output and counts it. */
async function checkAside([name, program, ...args]: Check): Promise<() => Tally> {
  const { status, output, milliseconds } = await runAside(program, args);
  return () => {
    console.log(`\n== ${name}`);
    process.stdout.write(output);
    return count(name, status === 0 ? ONE_PASSED : ONE_FAILED, milliseconds);
  };
}

async function unitTests(...projects: readonly string[]): Promise<Tally> {
  const file = join(reports, `${projects[0]}.json`);
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${file}`];
  const chosen = projects.map((project) => `--project=${project}`);
  const exitCode = await run('vitest', ['run', ...chosen, ...reporters]);
  const report = readReport(file);
  if (report === undefined) return ONE_FAILED;
  failures.push(...unitFailures(report));
  return unitTally(report, exitCode);
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

async function step(name: string, check: () => Promise<Tally>): Promise<Tally> {
  console.log(`\n== ${name}`);
  const begun = performance.now();
  return count(name, await check(), performance.now() - begun);
}

async function testStep(name: string, check: () => Promise<Tally>): Promise<void> {
  const { passed, failed } = await step(name, check);
  testsExecuted += passed + failed;
}

await step('Generated types', () => holds('svelte-kit', 'sync'));
// Lint takes as long as the other checks of the sources and a part of the unit tests: it goes beside them. So does
// the build, which alone would leave a core idle; it waits for the checks that read the types it writes anew.
const lint = checkAside(LINT);
for (const check of SHORTER_CHECKS) (await checkAside(check))();
const build = checkAside(BUILD);
await testStep('Unit tests', () => unitTests('unit', 'page'));
(await lint)();
const built = (await build)();
if (built.failed === 0) await testStep('The built site', () => unitTests('built'));
await testStep('Journeys', () => journeys(built.failed === 0));

for (const failure of failures) console.log(`\nFailed: ${failure}`);
console.log(`\n${summary.join('\n')}\n`);
console.log(summaryLine(total));
process.exitCode = isGood(total, testsExecuted) ? 0 : 1;
