// The rows of a relaxation hold for every blend whose load lies in their interval, and say exactly the
// truth where the interval is one load; columns are dropped only where no better blend uses them.
import { describe, expect, it } from 'vitest';
import { finished } from '#optimize/pacing/clock.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { ColumnGroup } from '#optimize/relaxation/column-group.ts';
import type { Decision } from '#optimize/relaxation/node.ts';
import { MasterProgram } from '#optimize/relaxation/master-program.ts';
import { Search } from '#optimize/search/search.ts';
import { RowPool } from '#optimize/relaxation/relaxation.ts';
import type { CapChoice } from '#optimize/relaxation/rows.ts';
import { loadOf, signalAt, worstMiss } from '#optimize/problem/evaluation.ts';
import { ibuAt } from '#optimize/problem/bitterness.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { between, randomBrief, soundProblem } from '../support/instances.ts';
import { readingOf } from '../support/oracle-reading.ts';
import { bestAt } from '../support/oracle.ts';

function problemOf(seed: number) {
  return soundProblem(
    randomBrief(seed, {
      hops: 10,
      forms: 2,
      stages: ['mash', 'hot_steep', 'dry_hop'],
      wishes: 5,
      beerL: 20,
      ibu: true,
      hopsAtMost: 3,
      smallest: 10,
      step: 2,
    }),
  );
}

function hotSide(seed: number, hops: number): Brief {
  return randomBrief(seed, {
    hops,
    forms: 1,
    stages: ['mash', 'hot_steep'],
    wishes: 4,
    beerL: 20,
    hopsAtMost: 3,
    smallest: 15,
    step: 1,
  });
}

/** The column of an addition. */
function columnOf({ columns, offers }: BlendProblem, { lot, stage }: LotAddition): number {
  return columns.findIndex((c) => {
    const own = offers[c.lot]!.lot;
    return c.stage === stage && own.hop === lot.hop && own.form === lot.form;
  });
}

/** All rows there are. */
const sourcesOf = (pool: RowPool) => Array.from({ length: pool.count }, (_, r) => pool.source(r));

describe('rows', () => {
  it('hold for random blends in random intervals of loads around theirs', () => {
    let checked = 0;
    for (let seed = 1; seed <= 60; seed += 1) {
      const problem = problemOf(900 + seed);
      const pool = new RowPool(problem);
      const random = randomFrom(seed / 1e3);
      const columns = [...problem.columns.keys()].filter(() => random.uniform() < 0.15);
      const doses: Doses = { columns, doses: columns.map(() => between(random, 0, 6)) };
      const load = loadOf(problem, doses);
      const exact = seed % 4 === 0;
      const interval = {
        from: exact ? load : Math.max(0, load - between(random, 0, 10)),
        to: exact ? load : load + between(random, 0, 10),
      };
      const slack = worstMiss(problem, doses);
      // Which side of each cap is the smaller one for this blend.
      const caps = (problem.bitter?.terms ?? []).map((term): CapChoice => {
        const held = columns.reduce((sum, j, k) => sum + term.alpha[j]! * doses.doses[k]!, 0);
        if (random.uniform() < 0.5) return 'open';
        return held <= term.cap ? 'linear' : 'capped';
      });
      sourcesOf(pool)
        .slice(0, pool.firstVariety)
        .forEach((source) => {
          if (source.name.startsWith('limits') || source.name.startsWith('grams')) return;
          const form = source.form(interval, slack + (seed % 3), caps);
          const at = source.moving?.at(slack) ?? 0;
          const lower = form.lower + (source.moving?.side === 'lower' ? at : 0);
          const upper = form.upper + (source.moving?.side === 'upper' ? at : 0);
          let activity = 0;
          form.vectors.forEach((vector, v) => {
            columns.forEach(
              (j, k) => (activity += form.factors[v]! * vector[j]! * doses.doses[k]!),
            );
          });
          const rounding = 1e-9 * (1 + Math.abs(activity));
          expect(activity, source.name).toBeGreaterThanOrEqual(lower - rounding);
          expect(activity, source.name).toBeLessThanOrEqual(upper + rounding);
          checked += 1;
        });
    }
    expect(checked).toBeGreaterThan(800);
  });

  it('of the bitterness hold for blends right at the edge of their window', () => {
    let checked = 0;
    for (let seed = 1; seed <= 80; seed += 1) {
      const stated = problemOf(900 + seed);
      const random = randomFrom(seed / 3e3);
      const columns = [...stated.columns.keys()].filter(() => random.uniform() < 0.08);
      const doses: Doses = {
        columns,
        doses: columns.map((j) => between(random, 0, stated.dry[j] === 1 ? 3 : 0.3)),
      };
      const load = loadOf(stated, doses);
      const ibu = ibuAt(stated, doses, load);
      if (!stated.bitter || load === 0 || ibu < 1) continue;
      const problem = { ...stated, bitter: { ...stated.bitter, atLeast: ibu, atMost: ibu } };
      const interval = { from: load * between(random, 0, 1), to: load + between(random, 0, 6) };
      const caps = problem.bitter.terms.map(({ alpha, cap }): CapChoice => {
        const held = columns.reduce((sum, j, k) => sum + alpha[j]! * doses.doses[k]!, 0);
        return held <= cap ? 'linear' : 'capped';
      });
      const pool = new RowPool(problem);
      const rows = sourcesOf(pool).filter((s) => s.name.startsWith('IBU'));
      for (const source of rows) {
        const form = source.form(interval, 0, caps);
        const at = source.moving!.at(0);
        let activity = 0;
        form.vectors.forEach((vector, v) => {
          columns.forEach((j, k) => (activity += form.factors[v]! * vector[j]! * doses.doses[k]!));
        });
        const rounding = 1e-9 * (1 + Math.abs(activity));
        if (source.moving!.side === 'lower') {
          expect(activity, source.name).toBeGreaterThanOrEqual(form.lower + at - rounding);
        } else {
          expect(activity, source.name).toBeLessThanOrEqual(form.upper + at + rounding);
        }
        checked += 1;
      }
    }
    expect(checked).toBeGreaterThan(200);
  });

  it('are exact at one load: the worst of them misses by what the truth misses', () => {
    for (let seed = 1; seed <= 60; seed += 1) {
      const problem = problemOf(960 + seed);
      const pool = new RowPool(problem);
      const random = randomFrom(seed / 2e3);
      const columns = [...problem.columns.keys()].filter(() => random.uniform() < 0.15);
      const doses: Doses = { columns, doses: columns.map(() => between(random, 0, 6)) };
      const load = loadOf(problem, doses);
      for (const row of problem.axes) {
        const signal = signalAt(problem, row, doses, load);
        for (const side of ['least', 'most']) {
          const [source] = sourcesOf(pool).filter((s) => s.name === `${row.axis} at ${side}`);
          if (!source) continue;
          const form = source.form({ from: load, to: load }, 0, []);
          let activity = row.base;
          form.vectors.forEach((vector, v) => {
            columns.forEach(
              (j, k) => (activity += form.factors[v]! * vector[j]! * doses.doses[k]!),
            );
          });
          expect(activity).toBeCloseTo(signal, 8);
        }
      }
      const least = sourcesOf(pool).filter((s) => s.name === 'IBU at least');
      if (least.length === 0) continue;
      const activities = least.map((source) => {
        const form = source.form({ from: load, to: load }, 0, []);
        let activity = -form.lower;
        form.vectors.forEach((vector, v) => {
          columns.forEach((j, k) => (activity += form.factors[v]! * vector[j]! * doses.doses[k]!));
        });
        return activity;
      });
      expect(Math.min(...activities)).toBeCloseTo(ibuAt(problem, doses, load), 8);
    }
  });
});

describe('the kept program', () => {
  it('bounds the truth from below and keeps every column of a better blend', () => {
    let dropped = 0;
    for (let seed = 1; seed <= 24; seed += 1) {
      const brief = randomBrief(1100 + seed, {
        hops: 16,
        forms: 2,
        stages: ['mash', 'hot_steep'],
        wishes: 4,
        beerL: 20,
        smallest: 15,
        step: 1,
      });
      const problem = soundProblem(brief);
      const best = bestAt(readingOf(brief), 0);
      if (!best || best.objective === 0) continue;
      const program = new MasterProgram(problem, 0);
      const node = { interval: { from: 0, to: 0 }, decisions: null, caps: [] };
      const worth = best.objective * 1.0001 + 1e-6;
      const relaxed = finished(program.leastObjective(node, null, Infinity, worth));
      expect(relaxed.status).toBe('solved');
      expect(relaxed.bound).toBeLessThanOrEqual(best.objective * (1 + 1e-9));
      if (!relaxed.columns) continue;
      dropped += problem.columns.length - relaxed.columns.length;
      for (const { lot, stage } of best.additions) {
        const column = problem.columns.findIndex((c) => {
          const own = problem.offers[c.lot]!.lot;
          return c.stage === stage && own.hop === lot.hop && own.form === lot.form;
        });
        expect(relaxed.columns).toContain(column);
      }
    }
    expect(dropped).toBeGreaterThan(100);
  });

  it('keeps the best blend in a part that has some of its doses decided', () => {
    let checked = 0;
    for (let seed = 1; seed <= 24; seed += 1) {
      const brief = hotSide(1200 + seed, 16);
      const problem = soundProblem(brief);
      const best = bestAt(readingOf(brief), 0);
      if (!best || best.objective === 0) continue;
      const random = randomFrom(seed / 3e3);
      const program = new MasterProgram(problem, 0);
      const worth = best.objective * (1 + 1e-6) + 1e-6;
      let decisions: Decision | null = null;
      for (const addition of best.additions) {
        const column = columnOf(problem, addition);
        const dose = addition.grams / problem.beerL;
        const { most } = problem.columns[column]!;
        const floor = random.uniform() < 0.5 ? dose : Math.min(dose, problem.least);
        const { variety } = problem.columns[column]!;
        if (random.uniform() < 0.5) decisions = { kind: 'in', variety, before: decisions };
        if (random.uniform() < 0.7) {
          decisions = { kind: 'dose', column, lower: floor, upper: most, before: decisions };
        }
        if (random.uniform() < 0.5) {
          const group = new ColumnGroup(problem, variety, problem.columns[column]!.stage!, []);
          decisions = { kind: 'some', group, before: decisions };
        }
      }
      const node = { interval: { from: 0, to: 0 }, decisions, caps: [] };
      const relaxed = finished(program.leastObjective(node, null, Infinity, worth));
      expect(relaxed.status, `seed ${seed}`).toBe('solved');
      expect(relaxed.bound).toBeLessThanOrEqual(best.objective * (1 + 1e-9));
      for (const addition of best.additions) {
        if (relaxed.columns) expect(relaxed.columns).toContain(columnOf(problem, addition));
      }
      checked += 1;
    }
    expect(checked).toBeGreaterThan(12);
  });

  it('keeps every column of a blend as close as asked where wishes are out of reach', () => {
    let dropped = 0;
    for (let seed = 1; seed <= 16; seed += 1) {
      const near = hotSide(1300 + seed, 12);
      const target = Object.fromEntries(
        Object.keys(near.target).map((axis, i) => [
          axis,
          i === 0 ? { at_least: 5 + (seed % 3) } : { at_most: 1 + 0.4 * i },
        ]),
      );
      const brief = briefSchema.parse({ ...near, target });
      const problem = soundProblem(brief);
      const search = new Search(problem, 'slack', 0, 12);
      while (search.step());
      const { merit } = search.incumbent!;
      const worth = merit + 1e-3;
      // Another blend as close, found by the independent program.
      const close = bestAt(readingOf(brief), 0, { slack: merit + 5e-4, gap: 1e-3 })!;
      const program = new MasterProgram(problem, 12);
      const node = { interval: { from: 0, to: 0 }, decisions: null, caps: [] };
      const relaxed = finished(program.leastSlack(node, null, 0, worth, worth));
      expect(relaxed.bound).toBeLessThanOrEqual(merit + 1e-6);
      if (!relaxed.columns) continue;
      dropped += problem.columns.length - relaxed.columns.length;
      for (const addition of close.additions) {
        expect(relaxed.columns, `seed ${seed}`).toContain(columnOf(problem, addition));
      }
    }
    expect(dropped).toBeGreaterThan(20);
  });
});
