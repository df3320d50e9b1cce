// Counts what really ran, from the machine-readable reports of the test runners. A report that is
// missing, or a runner that fails without naming a failed test, counts as one failure: silence is
// never a pass.
import { existsSync, readFileSync } from 'node:fs';

export interface Tally {
  readonly passed: number;
  readonly failed: number;
  readonly skipped: number;
}

export const NOTHING: Tally = { passed: 0, failed: 0, skipped: 0 };
export const ONE_PASSED: Tally = { passed: 1, failed: 0, skipped: 0 };
export const ONE_FAILED: Tally = { passed: 0, failed: 1, skipped: 0 };

export function add(a: Tally, b: Tally): Tally {
  return {
    passed: a.passed + b.passed,
    failed: a.failed + b.failed,
    skipped: a.skipped + b.skipped,
  };
}

/** The last line of a run. */
export function summaryLine({ passed, failed, skipped }: Tally): string {
  const line = `${passed} passed, ${failed} failed`;
  return skipped > 0 ? `${line}, ${skipped} skipped` : line;
}

/** Good only when nothing failed and tests, not just steps around them, were executed. */
export function isGood(all: Tally, testsExecuted: number): boolean {
  return all.failed === 0 && testsExecuted > 0;
}

/** Adds a failure when the runner ended badly although no test is reported as failed. */
function withExit(tally: Tally, exitCode: number | null): Tally {
  return exitCode === 0 || tally.failed > 0 ? tally : add(tally, ONE_FAILED);
}

/** The fields read of a vitest JSON report. */
interface UnitReport {
  readonly numPassedTests: number;
  readonly numFailedTests: number;
  readonly numPendingTests: number;
  readonly numTodoTests: number;
  readonly testResults: readonly {
    readonly name: string;
    readonly status: string;
    readonly message: string;
    readonly assertionResults: readonly {
      readonly fullName: string;
      readonly status: string;
      readonly failureMessages?: readonly string[] | null;
    }[];
  }[];
}

/** The fields read of a Playwright JSON report. */
interface JourneyReport {
  readonly stats: {
    readonly expected: number;
    readonly unexpected: number;
    readonly flaky: number;
    readonly skipped: number;
  };
  readonly suites: readonly Suite[];
}
interface Suite {
  readonly specs?: readonly unknown[];
  readonly suites?: readonly Suite[];
}

export function unitTally(report: unknown, exitCode: number | null): Tally {
  const r = report as UnitReport;
  const counted = {
    passed: r.numPassedTests,
    failed: r.numFailedTests,
    skipped: r.numPendingTests + r.numTodoTests,
  };
  return withExit(counted, exitCode);
}

/** The failed tests of a report, a block each: file, name, and why. */
export function unitFailures(report: unknown): string[] {
  return (report as UnitReport).testResults.flatMap(
    ({ name, status, message, assertionResults }) => {
      const failed = assertionResults.filter((test) => test.status === 'failed');
      if (failed.length === 0) return status === 'failed' ? [`${name}\n${message}`] : [];
      return failed.map((test) =>
        [name, test.fullName, ...(test.failureMessages ?? [])].join('\n'),
      );
    },
  );
}

/** A flaky journey failed at least once: a failure. */
export function journeyTally(report: unknown, exitCode: number | null): Tally {
  const { stats } = report as JourneyReport;
  const failed = stats.unexpected + stats.flaky;
  return withExit({ passed: stats.expected, failed, skipped: stats.skipped }, exitCode);
}

/** Number of journeys in a listing (`playwright test --list` as JSON). */
export function listedJourneys(report: unknown): number {
  const count = (suites: readonly Suite[]): number =>
    suites.reduce((sum, s) => sum + (s.specs?.length ?? 0) + count(s.suites ?? []), 0);
  return count((report as JourneyReport).suites);
}

/** Reads a report file; `undefined` when it is missing or is no JSON. */
export function readReport(file: string): unknown {
  if (!existsSync(file)) return undefined;
  try {
    return JSON.parse(readFileSync(file, 'utf8')) as unknown;
  } catch {
    return undefined;
  }
}
