// A file with a fault in every word: a hundred are told, the rest is counted, and nothing overflows.
// Quadratic work would run these into the time limit of a test by far.
import { describe, expect, it } from 'vitest';
import { readJson } from '#shared/reading/json.ts';
import type { Problem } from '#shared/outcome.ts';
import { faultCount, PROBLEMS_MAX } from '#shared/reading/problems.ts';
import { readSchedule } from '#shared/reading/read.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { BY_EDITS } from '#shared/schemas/workspace.ts';

const MANY = 130_000;
const times = (count: number, text: string) =>
  Array.from({ length: count }, () => text).join(',\n');
const fields = (count: number) =>
  Object.fromEntries(Array.from({ length: count }, (_, i) => [`field_${i}`, 1]));
const workspace = (more: object) =>
  JSON.stringify({ format: 'blendbine-workspace', version: 1, ...more });

function expectCounted(problems: readonly Problem[], faults: number): void {
  expect(problems).toHaveLength(PROBLEMS_MAX + 1);
  expect(faultCount(problems)).toBe(faults);
  expect(problems.at(-1)).toEqual({
    path: '',
    message: `and ${(faults - PROBLEMS_MAX).toLocaleString('en')} more like these`,
    cure: 'Correct those named here first; the others are named after that',
    further: faults - PROBLEMS_MAX,
  });
}
function inFile(text: string): readonly Problem[] {
  const outcome = readWorkspace(text);
  if (!outcome.ok) return outcome.problems;
  return 'kind' in outcome.value ? [] : outcome.value.problems;
}

describe('a hundred are reported and the rest counted of', () => {
  it('fields given twice, each with its line', () => {
    const { problems } = readJson(`{${times(MANY + 1, '"a":1')}}`);
    expectCounted(problems, MANY);
    expect(problems[99]!.message).toBe(
      'the field is given twice, at line 100, column 1 and at line 101, column 1',
    );
  });
  it('words that are no figures', () => {
    expectCounted(readJson(`[${times(MANY, 'NaN')}]`).problems, MANY);
  });
  it('fields nobody knows, in one lot, in all lots and beside them', () => {
    expectCounted(inFile(workspace({ lots: [fields(MANY)] })), MANY + 3);
    expectCounted(
      inFile(workspace({ lots: Array.from({ length: BY_EDITS.lots }, () => fields(26)) })),
      BY_EDITS.lots * 29,
    );
    expectCounted(inFile(workspace(fields(MANY))), MANY);
  });
  it('faults of the writing and of what is written', () => {
    const outcome = readSchedule(`{${times(90, '"a":1')}, "b": ${JSON.stringify(fields(90))}}`);
    expect(outcome.ok ? 0 : faultCount(outcome.problems)).toBeLessThanOrEqual(PROBLEMS_MAX);
    const many = readSchedule(`{${times(90, '"a":NaN')}}`);
    expect(many.ok ? [] : many.problems).toHaveLength(PROBLEMS_MAX + 1);
  });
});

it('a name without end is reported in short', () => {
  const long = 'x'.repeat(1_000_000);
  const { problems } = readJson(`{"${long}": [${times(200, 'NaN')}]}`);
  expect(JSON.stringify(problems).length).toBeLessThan(40_000);
});

it('minus nothing is nothing', () => {
  expect(Object.is(readJson('-0').value, 0)).toBe(true);
  expect(readJson('[-0, -0.0e5, -1e-999]').value).toEqual([0, 0, 0]);
});
