// The verbs swap and save, alternatives and trade-off curves, each in a process of its own, on the
// documents of the invented brewery.
import { describe, expect, it } from 'vitest';
import type { Blend } from '#shared/answers/answer.ts';
import type { Totals } from '#shared/answers/prediction.ts';
import type { Replacement, Saving, TradeoffPoint } from '#shared/answers/comparison.ts';
import cheaperSeed from '#seeds/schedules/cheaper.json' with { type: 'json' };
import swapSeed from '#seeds/schedules/out-of-stock.json' with { type: 'json' };
import { cli, fileWith } from './run.ts';

const SWAP = 'seeds/schedules/out-of-stock.json';
const SAVE = 'seeds/schedules/cheaper.json';
/** In the order of the alphabet. */
const OFFERED = ['Amarillo', 'Cascade', 'Chinook', 'Galaxy', 'Mosaic'];
const BRIEF = 'seeds/briefs/near-empty-freezer.json';

async function json(...args: string[]) {
  const { code, out, err } = await cli([...args, '--json']);
  expect([code, err]).toEqual([0, '']);
  return JSON.parse(out);
}

describe('swap', () => {
  it('answers in JSON: ranked whole schedules, what was kept in each', async () => {
    const candidates = OFFERED.map((hop) => ({ hop, form: 'pellet_90' }));
    const answer = await json('swap', fileWith(JSON.stringify({ ...swapSeed, candidates })));
    const kept = swapSeed.additions.filter((a) => a.hop !== 'Citra');
    const blends: Replacement[] = answer.blends;
    expect(blends.length).toBeGreaterThan(3);
    for (const { additions, hops, changes } of blends) {
      for (const addition of kept) expect(additions).toContainEqual(addition);
      expect(hops).not.toContain('Citra');
      expect(Object.keys(changes).length).toBe(10);
    }
    const tried: string[] = answer.tried.map((t: { hop: string }) => t.hop);
    expect(tried.sort()).toEqual(OFFERED);
  });

  it('answers in text from a stock list', async () => {
    const { code, out, err } = await cli(['swap', SWAP, '--stock', 'seeds/stock.csv']);
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain('Citra replaced, everything else kept to the gram.');
    // The stock still lists it.
    expect(out).not.toMatch(/^\d+\. .*Citra/m);
    expect(out).toMatch(/^1\. .*: (no noticeable change|largest change [\d.]+) \(proven: /m);
    expect(out).toMatch(/^aroma +before +blend 1/m);
    expect(out).toContain('Take care:');
  });

  it('names the hop that is not there, with exit code 2', async () => {
    const swap = JSON.stringify({ ...swapSeed, replace: 'Saaz' });
    const { code, out, err } = await cli(['swap', '-'], swap);
    expect([code, out]).toEqual([2, '']);
    expect(err).toBe(
      'standard input, replace: "Saaz" is not in the schedule. Name one of its hops: Centennial, Citra, Simcoe.\n',
    );
  });
});

describe('save', () => {
  it('answers in JSON with the cheapest and the lightest', async () => {
    const answer = await json('save', SAVE);
    const blends: Saving[] = answer.blends;
    expect(blends.map((b) => b.minimised)).toEqual(['cost', 'weight']);
    expect(blends[0]!.totals_change.cost!).toBeLessThan(0);
    expect(blends[1]!.totals_change.hop_g).toBeLessThan(0);
    expect(answer.jnd).toBe(0.25);
  });

  it('answers in text with what is saved', async () => {
    const lots = ['Citra', 'Centennial', 'Cascade'].map((hop) => `${hop},pellet_90,30`);
    const stock = fileWith(['hop,form,price_per_kg', ...lots].join('\n'), 'stock.csv');
    const { code, out } = await cli(['save', SAVE, '--stock', stock]);
    expect(code).toBe(0);
    expect(out).toMatch(/^1\. The cheapest \(proven/m);
    expect(out).toMatch(/^Change from before: hops -/m);
    expect(out).toMatch(/just\s+noticeable\s+difference\s+of\s+25\s+%/);
  });
});

describe('save --goal', () => {
  const beer = (price: number) => {
    return fileWith(JSON.stringify({ ...cheaperSeed, beer_price_per_l: price }));
  };

  it('says that it is reached, the beer held back counted at its price', async () => {
    const { goal, original, blends, beer_price_per_l } = await json(
      'save',
      beer(4),
      '--goal',
      '10',
    );
    expect(beer_price_per_l).toBe(4);
    const paid = ({ cost, beer_lost_l }: Totals) => cost! + 4 * beer_lost_l;
    expect(goal).toMatchObject({ share: 0.1, reached: true, loosenings: [] });
    expect(goal.saved).toBeCloseTo(1 - paid(blends[0].totals) / paid(original.totals), 9);
    const { out } = await cli(['save', beer(4), '--goal', '10']);
    expect(out).toMatch(/L of beer held back, counted at 4 per\s+litre/);
    expect(out).toMatch(/The goal of 10 % is reached: [\d.]+ % of the cost saved\./);
  });

  it('names what loosened alone would reach it, the nearest first', async () => {
    const { code, out } = await cli(['save', SAVE, '--goal', '60', '--time-limit', '9']);
    expect(code).toBe(0);
    expect(out).toMatch(/The goal of 60 % is not reached: [\d.]+ % of the cost at most\./);
    expect(out).toMatch(/Each of these alone would reach it|No single wish/);
  });

  it.each(['0', '100', 'much'])('refuses %s', async (percent) => {
    const { code, err } = await cli(['save', SAVE, '--goal', percent]);
    expect(code).toBe(2);
    expect(err).toContain('Give a number above 0 and up to 99');
  });
});

describe('design', () => {
  it('gives alternatives with a proof each', async () => {
    const { blends }: { blends: Blend[] } = await json('design', BRIEF, '--alternatives', '3');
    expect(blends.length).toBeGreaterThan(1);
    for (const { proof } of blends) expect(proof!.status).toBe('optimal');
  });

  it.each(['closeness', 'cost'])('draws the curve against %s', async (against) => {
    const { points }: { points: TradeoffPoint[] } = await json(
      'design',
      BRIEF,
      '--tradeoff',
      against,
    );
    expect(points.length).toBeGreaterThan(1);
    const { code, out } = await cli(['design', BRIEF, '--tradeoff', against]);
    expect(code).toBe(0);
    expect(out).toMatch(/^hops g +cost +wishes widened by/m);
  });

  it.each([
    [['design', BRIEF, '--alternatives', '9'], '"9" is not a number of blends'],
    [['design', BRIEF, '--tradeoff', 'taste'], '"taste" is not a known curve'],
    [
      ['design', BRIEF, '--tradeoff', 'cost', '--alternatives', '2'],
      'cannot go with --alternatives',
    ],
    [['swap', SWAP, '--alternatives', '2'], 'swap does not take this option'],
  ])('refuses %j', async (args, expected) => {
    const { code, out, err } = await cli(args);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(expected);
  });
});
