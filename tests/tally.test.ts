// The count at the end of a test run must not be able to hide a failure.
import { expect, test } from 'vitest';
import {
  add,
  isGood,
  journeyTally,
  listedJourneys,
  NOTHING,
  ONE_FAILED,
  readReport,
  summaryLine,
  unitFailures,
  unitTally,
} from './tally.ts';

const unit = { numPassedTests: 7, numFailedTests: 0, numPendingTests: 1, numTodoTests: 1 };
const stats = { expected: 4, unexpected: 0, flaky: 0, skipped: 2 };

test('unit tests: pending and todo count as skipped', () => {
  expect(unitTally(unit, 0)).toEqual({ passed: 7, failed: 0, skipped: 2 });
});

test('a test file that cannot be loaded fails the run although no test is named', () => {
  expect(unitTally(unit, 1)).toEqual({ passed: 7, failed: 1, skipped: 2 });
  expect(unitTally(unit, null).failed).toBe(1);
});

test('a failed test is counted once, not again for the exit code', () => {
  expect(unitTally({ ...unit, numFailedTests: 2 }, 1).failed).toBe(2);
});

test('failed tests are named with their file and why; so is a file that cannot be loaded', () => {
  const failed = { fullName: 'adds up', status: 'failed', failureMessages: ['2 is not 3'] };
  const passed = { fullName: 'is quick', status: 'passed', failureMessages: [] };
  const testResults = [
    { name: 'sum.test.ts', status: 'failed', message: '', assertionResults: [passed, failed] },
    { name: 'broken.test.ts', status: 'failed', message: 'no such file', assertionResults: [] },
    { name: 'good.test.ts', status: 'passed', message: '', assertionResults: [passed] },
  ];
  expect(unitFailures({ ...unit, testResults })).toEqual([
    'sum.test.ts\nadds up\n2 is not 3',
    'broken.test.ts\nno such file',
  ]);
});

test('a flaky journey is a failure', () => {
  expect(journeyTally({ stats, suites: [] }, 0)).toEqual({ passed: 4, failed: 0, skipped: 2 });
  expect(journeyTally({ stats: { ...stats, flaky: 1 }, suites: [] }, 0).failed).toBe(1);
  expect(journeyTally({ stats, suites: [] }, 1).failed).toBe(1);
});

test('listed journeys are counted through nested suites', () => {
  const suites = [{ specs: [{}, {}], suites: [{ specs: [{}], suites: [] }] }, { specs: [{}] }];
  expect(listedJourneys({ suites })).toBe(4);
});

test('the last line names skipped tests only when there are some', () => {
  expect(summaryLine({ passed: 3, failed: 0, skipped: 0 })).toBe('3 passed, 0 failed');
  expect(summaryLine({ passed: 3, failed: 1, skipped: 2 })).toBe('3 passed, 1 failed, 2 skipped');
});

test('a run without executed tests is not good', () => {
  expect(isGood({ passed: 4, failed: 0, skipped: 0 }, 0)).toBe(false);
  expect(isGood({ passed: 4, failed: 0, skipped: 9 }, 4)).toBe(true);
  expect(isGood(add(NOTHING, ONE_FAILED), 4)).toBe(false);
});

test('a missing or broken report is no report', () => {
  expect(readReport('/nonexistent/report.json')).toBeUndefined();
  expect(readReport(new URL(import.meta.url).pathname)).toBeUndefined();
});
