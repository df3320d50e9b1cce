// Laws every prediction must obey, whatever the hops: monotone, scale-free, bounded, repeatable.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { lotsOf, predictPoint } from '#engine/predict/predict.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import { COMPOUNDS, FORMS, YEASTS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { soundDesign } from '../support/examples.ts';

const offered = model.hops.filter((h) => h.missing.length === 0).map((h) => h.name);

const additionArb: fc.Arbitrary<Addition> = fc.record({
  hop: fc.constantFrom(...offered),
  form: fc.constantFrom(...FORMS),
  stage: fc.constantFrom(...STAGE_KINDS),
  grams: fc.double({ min: 0, max: 400, noNaN: true }),
});

const scheduleArb: fc.Arbitrary<Schedule> = fc.record({
  name: fc.constant('law'),
  batch: fc.record({
    beer_l: fc.double({ min: 15, max: 2000, noNaN: true }),
    yeast: fc.constantFrom(...YEASTS),
    malt_g_per_l: fc.double({ min: 0, max: 400, noNaN: true }),
  }),
  stages: fc.record({
    mash: fc.record({
      temp_c: fc.double({ min: 45, max: 75, noNaN: true }),
      minutes: fc.double({ min: 10, max: 90, noNaN: true }),
      boil_minutes: fc.double({ min: 0, max: 90, noNaN: true }),
    }),
    boil: fc.record({ minutes: fc.double({ min: 0, max: 90, noNaN: true }) }),
    hot_steep: fc.record({
      temp_c: fc.double({ min: 60, max: 98, noNaN: true }),
      minutes: fc.double({ min: 1, max: 60, noNaN: true }),
      closed: fc.boolean(),
    }),
    dry_hop: fc.record({
      temp_c: fc.double({ min: 2, max: 24, noNaN: true }),
      hours: fc.double({ min: 1, max: 300, noNaN: true }),
      mixed: fc.boolean(),
      live_yeast: fc.boolean(),
    }),
  }),
  additions: fc.array(additionArb, { minLength: 1, maxLength: 6 }),
});

function pointOf(schedule: Schedule) {
  return predictPoint(model, soundDesign(schedule));
}

describe('laws of prediction', () => {
  it('what was predicted before does not matter, whichever stages are as they were', () => {
    fc.assert(
      fc.property(
        scheduleArb,
        scheduleArb,
        fc.constantFrom(...STAGE_KINDS),
        (before, other, changed) => {
          const after = {
            ...before,
            stages: { ...before.stages, [changed]: other.stages[changed] },
          } as Schedule;
          pointOf(before);
          const fresh = { ...model };
          expect(pointOf(after)).toEqual(predictPoint(fresh, soundDesign(after)));
        },
      ),
      { numRuns: 40 },
    );
  });

  it('more of any hop never gives less of any compound it brings, dry-hop load included', () => {
    fc.assert(
      fc.property(
        scheduleArb,
        fc.nat(),
        fc.double({ min: 0, max: 200, noNaN: true }),
        (s, k, more) => {
          const i = k % s.additions.length;
          // More of the only hop: load lowers the yield of other hops, never its own total.
          const alone = { ...s, additions: [s.additions[i]!] };
          const raised = {
            ...alone,
            additions: [{ ...alone.additions[0]!, grams: alone.additions[0]!.grams + more }],
          };
          const [a, b] = [pointOf(alone), pointOf(raised)];
          COMPOUNDS.forEach((_, c) =>
            expect(b.compounds[c]!).toBeGreaterThanOrEqual(a.compounds[c]! * (1 - 1e-12)),
          );
        },
      ),
      { numRuns: 200 },
    );
  });

  it('more of every hop at once never gives less of any compound', () => {
    fc.assert(
      fc.property(scheduleArb, fc.double({ min: 1, max: 3, noNaN: true }), (s, factor) => {
        const raised = {
          ...s,
          additions: s.additions.map((a) => ({ ...a, grams: a.grams * factor })),
        };
        const [a, b] = [pointOf(s), pointOf(raised)];
        COMPOUNDS.forEach((_, c) =>
          expect(b.compounds[c]!).toBeGreaterThanOrEqual(a.compounds[c]! * (1 - 1e-12)),
        );
      }),
      { numRuns: 200 },
    );
  });

  // One hop more in a mixture adds what it brings and takes, by the load equation, at most the
  // share 1 - (1 + D/K)/(1 + D'/K) of what the other dry hops gave.
  it('more of one hop in a mixture lowers a compound by no more than the load equation says', () => {
    fc.assert(
      fc.property(
        scheduleArb,
        fc.nat(),
        fc.double({ min: 0, max: 200, noNaN: true }),
        (s, k, more) => {
          const i = k % s.additions.length;
          const raised = {
            ...s,
            additions: s.additions.map((a, j) => (j === i ? { ...a, grams: a.grams + more } : a)),
          };
          const loadOf = (of: Schedule) => predictPoint(model, soundDesign(of)).dryHopLoad;
          const [loadA, loadB] = [loadOf(s), loadOf(raised)];
          const [a, b] = [pointOf(s), pointOf(raised)];
          COMPOUNDS.forEach((compound, c) => {
            const { loadGroup } = model.compounds[compound];
            const half = model.parameters[`dry_hop.half_load.${loadGroup}`].central;
            const kept = shareAtLoad(loadB, half) / shareAtLoad(loadA, half);
            expect(b.compounds[c]!).toBeGreaterThanOrEqual(a.compounds[c]! * kept * (1 - 1e-12));
          });
        },
      ),
      { numRuns: 200 },
    );
  });

  it('batch and doses scaled together change no concentration, IBU or pH', () => {
    fc.assert(
      fc.property(scheduleArb, fc.double({ min: 0.1, max: 10, noNaN: true }), (s, factor) => {
        const scaled = {
          ...s,
          batch: { ...s.batch, beer_l: s.batch.beer_l * factor },
          additions: s.additions.map((a) => ({ ...a, grams: a.grams * factor })),
        };
        // Doses past what one addition may hold are refused either way; skip those.
        const sound = designOf(model, s);
        fc.pre(sound.ok && designOf(model, scaled).ok);
        const [a, b] = [pointOf(s), pointOf(scaled)];
        COMPOUNDS.forEach((_, c) => {
          const size = Math.max(a.compounds[c]!, 1e-12);
          expect(Math.abs(b.compounds[c]! - a.compounds[c]!) / size).toBeLessThan(1e-9);
        });
        expect(Math.abs(b.totals.ibu - a.totals.ibu)).toBeLessThan(1e-9 * (1 + a.totals.ibu));
        expect(Math.abs(b.totals.ph_rise - a.totals.ph_rise)).toBeLessThan(1e-9);
      }),
      { numRuns: 200 },
    );
  });

  it('at zero dry-hop load two schedules add up', () => {
    fc.assert(
      fc.property(scheduleArb, (s) => {
        const hot = s.additions.filter((a) => a.stage !== 'dry_hop');
        const [whole, none] = [pointOf({ ...s, additions: hot }), pointOf({ ...s, additions: [] })];
        const parts = hot.map((a) => pointOf({ ...s, additions: [a] }));
        COMPOUNDS.forEach((_, c) => {
          const sum = parts.reduce(
            (t, p) => t + p.compounds[c]! - none.compounds[c]!,
            none.compounds[c]!,
          );
          expect(whole.compounds[c]!).toBeCloseTo(sum, 6);
        });
      }),
      { numRuns: 100 },
    );
  });

  it('is repeatable to the digit, keeps its inputs, and orders every band', () => {
    fc.assert(
      fc.property(scheduleArb, (s) => {
        const before = JSON.stringify(s);
        const design = soundDesign(s);
        const band = { samples: 40, seed: 7 };
        const [a, b] = [predict(model, design, band), predict(model, design, band)];
        expect(a).toEqual(b);
        expect(JSON.stringify(s)).toBe(before);
        for (const { low, high } of [...Object.values(a.compounds), ...Object.values(a.axes)]) {
          expect(low).toBeLessThanOrEqual(high);
          expect(low).toBeGreaterThanOrEqual(0);
        }
        expect(lotsOf(design).length).toBeLessThanOrEqual(s.additions.length);
      }),
      { numRuns: 30 },
    );
  });

  it('a thiol-releasing yeast never gives less 3SH than a standard one', () => {
    fc.assert(
      fc.property(scheduleArb, (s) => {
        const yeast = (y: (typeof YEASTS)[number]) =>
          pointOf({ ...s, batch: { ...s.batch, yeast: y } }).compounds[COMPOUNDS.indexOf('sh3')]!;
        expect(yeast('thiol_releasing')).toBeGreaterThanOrEqual(yeast('standard'));
      }),
      { numRuns: 100 },
    );
  });

  it('geraniol lost on live yeast turns up as citronellol, never more than mole for mole', () => {
    fc.assert(
      fc.property(scheduleArb, (s) => {
        const on = (live_yeast: boolean) =>
          pointOf({ ...s, stages: { ...s.stages, dry_hop: { ...s.stages.dry_hop!, live_yeast } } });
        const [dead, live] = [on(false), on(true)];
        const [g, c] = [COMPOUNDS.indexOf('geraniol'), COMPOUNDS.indexOf('citronellol')];
        const lost = (dead.compounds[g]! - live.compounds[g]!) / 154.25;
        const gained = (live.compounds[c]! - dead.compounds[c]!) / 156.27;
        expect(lost).toBeGreaterThanOrEqual(-1e-9);
        expect(gained).toBeLessThanOrEqual(lost + 1e-9);
        expect(live.compounds[COMPOUNDS.indexOf('linalool')]).toBe(
          dead.compounds[COMPOUNDS.indexOf('linalool')],
        );
      }),
      { numRuns: 100 },
    );
  });
});
