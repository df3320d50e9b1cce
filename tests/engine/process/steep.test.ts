// The hot steep with cooling: against an integration of its own, against today's figures without
// cooling, and the laws of heat: warmer and longer never give less iso-alpha acids, a lid never keeps less.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { COMPOUNDS } from '#shared/ids.ts';
import { check } from '#shared/reading/check.ts';
import { stagesSchema } from '#shared/stages/stages.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import {
  coolingTemperature,
  heatSum,
  hotExtractionRate,
  isoFraction,
  isoLossRate,
  isomerizationRate,
  steepEvaporation,
  steepIsoFraction,
  steepYields as yieldsOf,
} from '../support/numbers.ts';

type HotSteep = StageUse<'hot_steep'>['conditions'];

const steepArb = fc.record({
  temp_c: fc.double({ min: 60, max: 100, noNaN: true }),
  minutes: fc.double({ min: 0, max: 60, noNaN: true }),
  closed: fc.boolean(),
});
const coolingArb = fc.record({
  to_c: fc.double({ min: 5, max: 55, noNaN: true }),
  minutes: fc.double({ min: 1, max: 60, noNaN: true }),
});

/** Both reactions and a rate, by explicit Euler in many small steps: crude, but of its own. */
function euler({ temp_c, minutes, cooling }: HotSteep, rate: (tempC: number) => number) {
  const { to_c, minutes: coolingMinutes } = cooling!;
  const approach = 8; // data/parameters.csv, hot_steep.cooling_approach
  const coolant = to_c - approach;
  const steps = 40_000;
  const h = (minutes + coolingMinutes) / steps;
  let [alpha, iso, sum] = [1, 0, 0];
  for (let k = 0; k < steps; k += 1) {
    const t = (k + 0.5) * h - minutes;
    // Newton: the share of the excess over the coolant left after t is (approach/start excess)^(t/end).
    const excess = temp_c - coolant;
    const now = t <= 0 ? temp_c : coolant + excess * (approach / excess) ** (t / coolingMinutes);
    const kelvin = now + 273.15;
    const k1 = 7.9e11 * Math.exp(-11858 / kelvin);
    const k2 = 4.1e12 * Math.exp(-12994 / kelvin);
    [alpha, iso] = [alpha - h * k1 * alpha, iso + h * (k1 * alpha - k2 * iso)];
    sum += h * rate(now);
  }
  return { iso, sum };
}

describe('a steep with cooling', () => {
  const cases: HotSteep[] = [
    { temp_c: 95, minutes: 20, closed: false, cooling: { to_c: 20, minutes: 30 } },
    { temp_c: 80, minutes: 30, closed: false, cooling: { to_c: 65, minutes: 45 } },
    { temp_c: 100, minutes: 5, closed: true, cooling: { to_c: 15, minutes: 90 } },
  ];

  it.each(cases)('agrees with an integration of its own: $temp_c C, $cooling', (steep) => {
    const reference = euler(steep, hotExtractionRate);
    expect(steepIsoFraction(steep)).toBeCloseTo(reference.iso, 4);
    expect(heatSum(steep, 'Extraction') / reference.sum).toBeCloseTo(1, 3);
    const gone = euler(steep, steepEvaporation).sum;
    expect(heatSum(steep, 'Evaporation') / gone).toBeCloseTo(1, 3);
  });

  it('sums its rates with an error far under their doubt', () => {
    const steep = cases[2]!;
    const { minutes } = steep.cooling!;
    // Simpson's rule in 2,000 steps.
    const n = 2000;
    let sum = 0;
    for (let k = 0; k <= n; k += 1) {
      const weight = k === 0 || k === n ? 1 : k % 2 === 1 ? 4 : 2;
      sum += weight * hotExtractionRate(coolingTemperature(steep, k / n));
    }
    const simpson = (sum * minutes) / n / 3 + hotExtractionRate(steep.temp_c) * steep.minutes;
    expect(Math.abs(heatSum(steep, 'Extraction') / simpson - 1)).toBeLessThan(1e-9);
  });

  it('starts at the rest and ends where it was told to', () => {
    expect(coolingTemperature(cases[0]!, 0)).toBeCloseTo(95, 9);
    expect(coolingTemperature(cases[0]!, 1)).toBeCloseTo(20, 9);
    // Newton's law with the coolant 8 C below the end: halfway 12 + 83 (8/83)^(1/2) = 37.8 C.
    expect(coolingTemperature(cases[0]!, 0.5)).toBeCloseTo(12 + 83 * Math.sqrt(8 / 83), 9);
  });

  it('in no time is the steep without cooling', () => {
    const steep: HotSteep = { temp_c: 90, minutes: 25, closed: false };
    const chilled = { ...steep, cooling: { to_c: 20, minutes: 1e-9 } };
    expect(steepIsoFraction(steep)).toBe(isoFraction(90, 25));
    expect(steepIsoFraction(chilled)).toBeCloseTo(isoFraction(90, 25), 9);
    COMPOUNDS.forEach((_, i) => expect(yieldsOf(chilled)[i]).toBeCloseTo(yieldsOf(steep)[i]!, 9));
  });

  it('must end below where it starts', () => {
    const hot_steep = { temp_c: 80, minutes: 20, cooling: { to_c: 85, minutes: 20 } };
    const outcome = check({ hot_steep }, stagesSchema);
    expect(outcome.ok).toBe(false);
    if (!outcome.ok) expect(outcome.problems[0]!.message).toContain('cooling');
  });
});

describe('open steep without cooling, by hand', () => {
  // Linalool at 80 C, 30 min: E(80,30) = 1 - exp(-0.25/2 * 30) = 0.97648, E(95,20) = 0.99326;
  // evaporation 0.05 * 0.15 * exp(-6600 (1/353.15 - 1/368.15)) = 0.0075 * 0.46703 = 0.0035027 per min;
  // 0.60 * 0.97648/0.99326 * exp(0.0075*20 - 0.0035027*30) = 0.60 * 0.98311 * 1.04593 = 0.61696.
  it('gives linalool 0.617 at 80 C and 30 min', () => {
    const steep = { temp_c: 80, minutes: 30, closed: false };
    expect(yieldsOf(steep)[COMPOUNDS.indexOf('linalool')]).toBeCloseTo(0.617, 3);
  });
});

describe('laws of heat', () => {
  it('warmer, longer and slower to cool never give less iso-alpha acids, up to two hours', () => {
    fc.assert(
      fc.property(
        steepArb,
        coolingArb,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (steep, cooling, more) => {
          const at = (over: Partial<HotSteep>) => steepIsoFraction({ ...steep, cooling, ...over });
          const least = at({}) - 1e-12;
          expect(at({ temp_c: steep.temp_c + more * (100 - steep.temp_c) })).toBeGreaterThan(least);
          expect(at({ minutes: steep.minutes + more * (60 - steep.minutes) })).toBeGreaterThan(
            least,
          );
          const slower = { ...cooling, minutes: cooling.minutes + more * (60 - cooling.minutes) };
          expect(at({ cooling: slower })).toBeGreaterThan(least);
          expect(at({})).toBeGreaterThanOrEqual(isoFraction(steep.temp_c, steep.minutes));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('forms no more than the alpha acids lost', () => {
    fc.assert(
      fc.property(steepArb, coolingArb, (steep, cooling) => {
        const iso = steepIsoFraction({ ...steep, cooling });
        const hottest = isomerizationRate(steep.temp_c);
        expect(iso).toBeLessThanOrEqual(
          1 - Math.exp(-hottest * (steep.minutes + cooling.minutes)) + 1e-12,
        );
        expect(isoLossRate(steep.temp_c)).toBeLessThan(hottest);
      }),
      { numRuns: 200 },
    );
  });

  it('a lid never keeps less of any alcohol, ester or thiol, in any drawn world', () => {
    const rows = Object.entries(model.parameters);
    fc.assert(
      fc.property(
        steepArb,
        fc.option(coolingArb, { nil: undefined }),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (steep, cooling, stream) => {
          const drawn = Object.fromEntries(
            rows.map(([id, { low, high }]) => [id, low + (high - low) * stream.next().value!]),
          );
          const yields = (closed: boolean) => yieldsOf({ ...steep, cooling, closed }, drawn);
          const [open, closed] = [yields(false), yields(true)];
          COMPOUNDS.forEach((compound, i) => {
            expect(closed[i]).toBeLessThanOrEqual(1.3);
            if (model.compounds[compound].loadGroup !== 'oxygenate') return;
            expect(closed[i]).toBeGreaterThanOrEqual(open[i]!);
          });
        },
      ),
      { numRuns: 100 },
    );
  });
});
