// What the first line says in each case, word for word.
import { describe, expect, it } from 'vitest';
import type { Blend, DesignAnswer, Hold, Miss } from '#shared/answers/answer.ts';
import type { Brief, Minimise } from '#shared/schemas/brief.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import { chanceWords } from '#wording/chances.ts';
import { headline, ownHeadline, searchedWords, unnoticedHeadline } from '#wording/headline.ts';

const blend = (misses: Miss[] = [], cost: number | null = null) =>
  ({
    additions: [{}],
    totals: { hop_g: 142, hop_g_per_l: 7.1, leaf_g_per_l: 3.21, cost },
    worst_miss: Math.max(0, ...misses.map((m) => m.by)),
    misses,
  }) as unknown as Blend;
const answer = (status: DesignAnswer['status'], gap = 0, lower_bound = 0) =>
  ({ status, gap, lower_bound, why: { left_out: [], notes: [] } }) as unknown as DesignAnswer;
const brief = (minimise: Minimise = 'weight') => ({ minimise, limits: {} }) as Brief;
const miss = (wish: string, by: number): Miss => ({ wish, asked: 0, got: 0, by });

it('says which forms a blend by hand misses', () => {
  const said = (by: number) =>
    ownHeadline(blend([miss('limits.stage_forms.boil', by)]), null, brief(), 'metric').lead;
  expect(said(1)).toBe('Your blend: misses the forms in the boil by 1 addition in another form.');
  expect(said(2)).toBe('Your blend: misses the forms in the boil by 2 additions in another form.');
});

describe('the chance of a blend', () => {
  const asked = { ...brief(), target: { citrus: { at_least: 3 } }, limits: {} } as unknown as Brief;
  it('tells lots and all doubt apart, and is silent where nothing is asked', () => {
    const words = chanceWords({ holds_in_lots: 0.8, holds_in_all: 0.35 }, asked);
    expect(words).toBe(
      'Meets every wish in 80\u00a0% of lots if the model is right; 35\u00a0% if the uncertainty of the model counts too.',
    );
    expect(chanceWords({ holds_in_lots: 0, holds_in_all: 0.04 }, asked)).toMatch(/in none of the/);
    expect(chanceWords({ holds_in_lots: 1, holds_in_all: 1 }, { ...asked, target: {} })).toBeNull();
    expect(chanceWords({}, asked)).toBeNull();
  });
});

describe('a replacement nobody can tell from what it replaces', () => {
  it('says that first, and what it misses after', () => {
    expect(unnoticedHeadline('Citra', blend(), brief(), 'metric')).toEqual({
      lead: 'Your blend: Citra replaced, and no note changes noticeably.',
      proof: 'It comes to 142\u00a0g, 7.1\u00a0g/L. All wishes and limits hold.',
    });
    const missing = blend([miss('target.resin', 0.1)]);
    expect(unnoticedHeadline('Citra', missing, brief(), 'metric').proof).toBe(
      'It comes to 142\u00a0g, 7.1\u00a0g/L and misses resin by 0.1.',
    );
  });
});

describe('headline', () => {
  it('names the lightest blend and that it is proven', () => {
    expect(headline(answer('optimal'), blend(), brief(), 'metric')).toEqual({
      lead: 'Lightest blend: 142\u00a0g, 7.1\u00a0g/L.',
      proof: 'Proven: no blend is lighter.',
    });
    expect(headline(answer('optimal', 0.018), blend(), brief(), 'us')).toEqual({
      lead: 'Lightest blend: 5\u00a0oz, 0.948\u00a0oz/gal.',
      proof: 'Proven: no blend is lighter by a weighing step or more.',
    });
  });

  it('does not say proven when it is not', () => {
    const said = (gap: number, bound: number) =>
      headline(answer('within_gap', gap, bound), blend(), brief(), 'metric');
    const near = 'Within 0.6\u00a0% of the best that could exist.';
    const lead = 'Lightest found: 142\u00a0g, 7.1\u00a0g/L.';
    expect(said(0.006, 141)).toEqual({ lead, proof: near });
    expect(said(1, 0)).toEqual({ lead, proof: 'Whether a better one exists is not known yet.' });
  });

  it('asks for a wish where there is none, instead of naming the empty blend the lightest', () => {
    const empty = { ...blend(), additions: [] };
    const blank = { ...brief(), target: {} };
    expect(headline(answer('optimal'), empty, blank, 'metric').lead).toBe('Nothing wished yet.');
    const bitter = { ...blank, target: { resin: { at_most: 2 } } };
    expect(headline(answer('optimal'), empty, bitter, 'metric').lead).toMatch(/^Lightest blend/);
  });

  it('leads with what is minimised', () => {
    const cheap = headline(answer('optimal'), blend([], 1234.5), brief('cost'), 'metric');
    expect(cheap.lead).toBe('Cheapest blend: 1,234.50, 142\u00a0g.');
    const leafless = headline(answer('optimal'), blend(), brief('leaf'), 'metric');
    expect(leafless.lead).toBe('Least leaf: 3.21\u00a0g/L, 142\u00a0g.');
  });

  it('never says that something is missed by nothing', () => {
    const lead = (wish: string, by: number) =>
      headline(answer('closest'), blend([miss(wish, by)]), brief(), 'metric').lead;
    expect(lead('target.floral', 0.049)).toBe('Closest blend: misses floral by less than 0.05.');
    expect(lead('target.floral', 0.051)).toBe('Closest blend: misses floral by 0.1.');
    expect(lead('limits.share_at_most', 0.16)).toMatch(/by 16\u00a0%\.$/);
    expect(lead('limits.ibu_at_most', 4e-4)).toMatch(/by less than 0\.01\.$/);
  });

  it('names the worst miss of the closest blend, axes before limits', () => {
    const misses = [
      miss('limits.ibu_at_most', 9),
      miss('target.citrus', 0.1),
      miss('target.tropical', 0.42),
    ];
    const said = headline(answer('closest', 0.01, 0.4), blend(misses.slice(2)), brief(), 'metric');
    expect(said.lead).toBe('Closest blend: misses tropical by 0.4.');
    expect(said.proof).toMatch(/^Proven: not all wishes/);
    const more = headline(answer('closest', 0.5, 0.2), blend(misses), brief(), 'metric');
    expect(more.lead).toBe('Closest blend: misses tropical by 0.4 and 2 others.');
    const open = headline(answer('closest', 1, 0), blend(misses.slice(1)), brief(), 'metric');
    expect(open.proof).toMatch(/not known yet/);
  });
});

describe('headline of a blend made by hand', () => {
  it('claims no proof, and names what was designed instead', () => {
    expect(ownHeadline(blend(), blend(), brief(), 'metric')).toEqual({
      lead: 'Your blend: 142\u00a0g, 7.1\u00a0g/L.',
      proof: 'All wishes and limits hold. The designed blend comes to 142\u00a0g, 7.1\u00a0g/L.',
    });
    const missed = blend([miss('target.floral', 0.42)]);
    expect(ownHeadline(missed, null, brief(), 'metric')).toEqual({
      lead: 'Your blend: misses floral by 0.4.',
      proof: 'It comes to 142\u00a0g, 7.1\u00a0g/L.',
    });
    const additions = [{ hop: 'Saaz', grams: 12 }];
    const live = { ...blend(), additions, same_hops: true, meets: true } as unknown as LiveBlend;
    expect(ownHeadline(missed, live, brief(), 'metric').proof).toBe(
      'It comes to 142\u00a0g, 7.1\u00a0g/L. Designed for these wishes: about 142\u00a0g, 7.1\u00a0g/L (Saaz 12\u00a0g).',
    );
    expect(ownHeadline(missed, { ...live, ...missed, meets: false }, brief(), 'metric').proof).toBe(
      'It comes to 142\u00a0g, 7.1\u00a0g/L. No blend meets these wishes: the closest misses floral by 0.4.',
    );
    expect(ownHeadline(null, blend(), brief(), 'metric').lead).toBe('Your blend.');
  });
});

describe('a brief that asks for a share of lots', () => {
  const asked = (reached: boolean, share_at_most = 1) => {
    const of = answer('optimal', 0, 142);
    return { ...of, why: { ...of.why, hold: { wanted: 0.6, reached, share_at_most } as Hold } };
  };

  it('says so in the proof', () => {
    const said = headline(asked(true), blend(), brief(), 'metric');
    expect(said.lead).toBe('Lightest blend: 142\u00a0g, 7.1\u00a0g/L.');
    expect(said.proof).toBe('Proven: no blend that holds in 60\u00a0% of lots is lighter.');
    const open = headline(
      { ...asked(true), status: 'within_gap', gap: 0.08, lower_bound: 130 },
      blend(),
      brief(),
      'us',
    );
    expect(open.proof).toBe('Within 8\u00a0% of the best that could hold in 60\u00a0% of lots.');
  });

  it('says where it was stopped before one was sought', () => {
    const stopped = answer('within_gap', 0, 142);
    const few = { ...blend(), holds_in_lots: 0.17 } as Blend;
    const wished = { ...brief(), limits: { ...brief().limits, holds_in_lots_at_least: 0.6 } };
    const said = headline(stopped, few, wished, 'metric');
    expect(said.lead).toBe('Lightest found: 142\u00a0g, 7.1\u00a0g/L.');
    expect(said.proof).toBe('Stopped before one was sought that holds in 60\u00a0% of lots.');
  });

  it('says where none was found, and what is proven then', () => {
    const none = headline(asked(false), blend(), brief(), 'metric');
    expect(none.lead).toBe('Holds in most lots: 142\u00a0g, 7.1\u00a0g/L.');
    expect(none.proof).toBe('No blend was found that meets every wish in 60\u00a0% of lots.');
    const proven = headline(asked(false, 0.45), blend(), brief(), 'metric');
    expect(proven.proof).toMatch(/60\u00a0% of lots; proven: none does in more than 45\u00a0%\.$/);
  });

  it('says by how much which wish is to be loosened for the blend that is shown', () => {
    const none = asked(false);
    const hold = { ...none.why.hold, eased: { wish: 'target.resin', by: 0.2 } };
    const head = headline({ ...none, why: { ...none.why, hold } }, blend(), brief(), 'metric');
    expect(head.proof).toMatch(/60\u00a0% of lots\. This one would with resin loosened by 0\.2\.$/);
  });
});

describe('how a search ended', () => {
  const ended = (of: DesignAnswer, shown: Blend | null, milliseconds: number) =>
    searchedWords({ ...of, blends: shown ? [shown] : [], milliseconds });
  const missing = blend([miss('target.resin', 0.4)]);

  it('found what it proves, in how long', () => {
    expect(ended(answer('optimal'), blend(), 84.4)).toBe('Found in 84 ms.');
    expect(ended(answer('closest', 0, 0.37), missing, 2345)).toBe('Found in 2.3 s.');
  });

  it('only searched where it was stopped, or proves less', () => {
    expect(ended(answer('within_gap', 0.08), blend(), 3210)).toBe('Searched for 3.2 s.');
    expect(ended(answer('closest', 0, 0), missing, 900)).toBe('Searched for 900 ms.');
    expect(ended(answer('closest', 0, 0.1), missing, 900)).toBe('Searched for 900 ms.');
    expect(ended(answer('closest'), null, 3)).toBe('Searched for 3 ms.');
  });
});
