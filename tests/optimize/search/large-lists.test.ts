// Lists of thousands of lots and lots in packages: how much is done between two rests, in work counted
// and not in time, how few nodes a proof takes, and that lots listed in pieces are one lot.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { EFFORT_AT_ONCE, LOTS_AT_ONCE } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';
import { Search } from '#optimize/search/search.ts';
import { stating } from '#optimize/problem/stating.ts';
import {
  lotsAlike,
  lotsOfOneHop,
  lotsInPackages,
  tableInPackages,
} from '../support/large-lists.ts';
import { between, randomBrief, soundProblem } from '../support/instances.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';

const BAND = { samples: 20, seed: 1 };
/** Nodes looked at before a search here is given up. */
const NODES_MAX = 400;

/** Lists to search, each of a kind that once was searched for minutes without a rest. */
const LISTS: readonly (readonly [string, () => Brief])[] = [
  ['500 lots in packages', () => lotsInPackages(500)],
  ['2,000 lots of one hop', () => lotsOfOneHop(2000)],
  ['2,000 lots all but alike', () => lotsAlike(2000)],
  ['the table in packages', () => tableInPackages(100)],
];

describe.each(LISTS)('%s', (_, briefOf) => {
  const brief = briefOf();

  it('is stated with a rest every few lots', () => {
    const lots = (brief.candidates as Candidate[]).length;
    let rests = 0;
    for (const node = stating(model, brief); !node.next().done;) rests += 1;
    // Tied to the table, looked at for likeness, valued, made columns: a part of the list at a time.
    expect(rests).toBeGreaterThanOrEqual((4 * lots) / LOTS_AT_ONCE);
  });

  it('is searched with a rest after a bounded piece of work', () => {
    const search = new Search(soundProblem(brief), 'objective', 0, 0);
    let pieces = 0;
    while (search.step() && search.nodes < NODES_MAX) pieces += 1;
    const { largest, total } = search.program.effort;
    expect(largest).toBeLessThan(2 * EFFORT_AT_ONCE);
    expect(pieces).toBeGreaterThan(total / EFFORT_AT_ONCE / 2);
    expect(search.incumbent).not.toBeNull();
  });
});

describe('lots in packages', () => {
  it.each([
    ['the table', () => tableInPackages(100)],
    ['100 lots', () => lotsInPackages(100)],
    ['500 lots', () => lotsInPackages(500)],
    ['500 lots, tight wishes', () => lotsInPackages(500, 100, 102, true)],
    ['2,000 lots, tight wishes', () => lotsInPackages(2000, 100, 103, true)],
  ])('%s: the cheapest blend is proven in few parts', (_, briefOf) => {
    const search = new Search(soundProblem(briefOf()), 'objective', 0, 0);
    while (search.nodes < NODES_MAX && search.step());
    const { incumbent, bound, done } = search.state;
    // By the gram, as it was bounded once, none was proven in thousands.
    expect(done).toBe(true);
    expect(incumbent!.merit - bound).toBeLessThanOrEqual(search.tolerance + 1e-9);
  });
});

describe('lots of one hop', () => {
  it.each([
    ['100 lots', () => lotsOfOneHop(100)],
    ['5,000 lots', () => lotsOfOneHop(5000)],
    ['5,000 lots, another list', () => lotsOfOneHop(5000, 2)],
  ])('%s: the lightest blend is proven in few parts', (_, briefOf) => {
    const search = new Search(soundProblem(briefOf()), 'objective', 0, 0);
    while (search.nodes < NODES_MAX && search.step());
    const { incumbent, bound, done } = search.state;
    // By one lot after the other, each with thousands to take its place, it took up to 20,000.
    expect(done).toBe(true);
    expect(incumbent!.merit - bound).toBeLessThanOrEqual(search.tolerance + 1e-9);
  });
});

describe('a lot listed in pieces', () => {
  it('is one lot: the same blend, the same proof', () => {
    const random = randomFrom(0.125);
    for (let seed = 1; seed <= 12; seed += 1) {
      const brief = randomBrief(7600 + seed, {
        hops: 6,
        forms: 1 + (seed % 2),
        stages: ['hot_steep', 'dry_hop'],
        wishes: 3,
        beerL: 20,
        stock: true,
        step: 1,
        smallest: 5,
        hopsAtMost: 3,
      });
      const whole = brief.candidates as Candidate[];
      const pieces = whole.flatMap((lot) => {
        const first = Math.floor(lot.grams_on_hand! * between(random, 0.1, 0.9));
        // The order of the figures in an analysis says nothing.
        const turned = Object.fromEntries(Object.entries(lot.analysis!).reverse());
        return [
          { ...lot, grams_on_hand: first },
          { ...lot, grams_on_hand: lot.grams_on_hand! - first, analysis: turned },
        ];
      });
      const [one, two] = [whole, pieces].map((candidates) => {
        const outcome = design(model, { ...brief, candidates }, { band: BAND });
        if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
        const { status, lower_bound, blends } = outcome.value;
        const grams = blends[0]!.additions.map((a) => [a.hop, a.form, a.stage, a.grams]);
        return { status, lower_bound, grams };
      });
      expect(two).toEqual(one);
    }
  });
});
