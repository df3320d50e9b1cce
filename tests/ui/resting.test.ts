// How it is told what the wished aromas rest on.
import { expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisEvidence } from '#engine/evidence/axis-evidence.ts';
import { firmer, groundsOf, groundWords } from '#wording/resting.ts';

const on = (seen: number, memory: number): AxisEvidence => {
  const none = { analysis: 0, yours: 0, derived: 0, printed: 0, reported: 0 };
  return { ...none, seen, memory, estimated: 1 - seen - memory };
};
const groundsFor = (
  given: Partial<Record<AxisId, AxisEvidence>>,
  wished: readonly AxisId[] = AXES,
) => {
  const all = AXES.map((axis) => [axis, given[axis] ?? null]);
  const resting = Object.fromEntries(all) as Record<AxisId, AxisEvidence | null>;
  return groundsOf(resting, wished);
};

it('says in a sentence what needs no bars', () => {
  const weak = groundsFor({ citrus: on(0, 0.9), resin: on(0, 0.8), berry: on(0, 0) });
  expect(groundWords(weak)).toEqual([
    'Every aroma you wish for rests on memory, tasters’ words or estimates alone.',
    'Mostly estimated: berry.',
  ]);
  expect(firmer(weak)).toEqual([]);
});

it('draws those that differ, the weakest first', () => {
  const mixed = groundsFor({ citrus: on(0.7, 0.3), floral: on(0.2, 0.1), onion_garlic: on(0, 1) });
  expect(groundWords(mixed)).toEqual([
    'Onion/garlic rests on memory, tasters’ words or estimates alone.',
    'Mostly estimated: floral.',
  ]);
  expect(firmer(mixed).map(({ axis }) => axis)).toEqual(['floral', 'citrus']);
});

it('is silent of what nobody wished, of firm ground, and of a blend that brings nothing', () => {
  expect(groundsFor({ citrus: on(0, 1) }, ['resin'])).toEqual([]);
  expect(groundWords(groundsFor({ citrus: on(1, 0) }))).toEqual([]);
  expect(groundWords([])).toEqual([]);
});

it('counts what tasters report as nothing measured', () => {
  const reported = { ...on(0.4, 0), reported: 0.6, estimated: 0 };
  expect(groundsFor({ citrus: reported })[0]!.weak).toBeCloseTo(0.6, 12);
});

it('says it where all are estimates', () => {
  expect(groundWords(groundsFor({ citrus: on(0, 0), resin: on(0, 0.2) }))).toEqual([
    'Every aroma you wish for rests on memory, tasters’ words or estimates alone.',
    'Most of each is estimated.',
  ]);
});
