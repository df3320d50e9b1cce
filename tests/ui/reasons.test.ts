// The sentences behind a blend, word for word.
import { describe, expect, it } from 'vitest';
import type { Price, WhyNot } from '#shared/answers/answer.ts';
import type { EasedMember } from '#optimize/sensitivity/explain.ts';
import {
  clashWords,
  easingWords,
  priceSentence,
  whyNotSentences,
  wishWords,
} from '#wording/reasons.ts';

const price = (change: Partial<Price>): Price => ({
  wish: 'target.tropical',
  side: 'at_least',
  unit: 'intensity',
  asked: 3.7,
  got: 3.7,
  price: 3,
  per: 0.1,
  from: 3.5,
  to: 4.1,
  ...change,
});

describe('what a wish costs', () => {
  it('is said of asking more where that goes a whole step', () => {
    expect(priceSentence(price({}), 'weight', 'metric')).toBe(
      '0.1 higher costs 3\u00a0g more, up to 4.1',
    );
    const most = price({ side: 'at_most', wish: 'target.resin', asked: 2, from: 1.6, to: 2.5 });
    expect(priceSentence(most, 'cost', 'metric')).toBe('0.1 lower costs 3.00 more, down to 1.6');
    expect(wishWords(most, 'metric')).toBe('resin at most 2');
  });

  it('is said of easing where asking more goes less than a step', () => {
    expect(priceSentence(price({ to: 3.72 }), 'weight', 'metric')).toBe(
      '0.1 lower saves 3\u00a0g, down to 3.5',
    );
    const most = price({ side: 'at_most', from: 3.69, to: 3.9 });
    expect(priceSentence(most, 'leaf', 'metric')).toBe(
      '0.1 higher saves 3\u00a0g of leaf, up to 3.9',
    );
  });

  it('is scaled down where neither way goes a step, and left out where there is no way', () => {
    expect(priceSentence(price({ from: 3.65, to: 3.71 }), 'weight', 'metric')).toBe(
      '0.05 lower saves 1.5\u00a0g, down to 3.65',
    );
    expect(priceSentence(price({ from: 3.7, to: 3.7 }), 'weight', 'metric')).toBeNull();
  });

  it('has no end where the scale has none, and carries units', () => {
    const bitter = price({ wish: 'limits.ibu_at_least', unit: 'IBU', asked: 15, per: 1, to: null });
    expect(priceSentence(bitter, 'weight', 'metric')).toBe('1\u00a0IBU higher costs 3\u00a0g more');
    expect(wishWords(bitter, 'metric')).toBe('the IBU minimum, 15\u00a0IBU');
  });
});

describe('why not a hop', () => {
  const found: WhyNot = {
    hop: 'Mosaic',
    verdict: 'dearer',
    reason: null,
    with_it: {
      additions: [
        { hop: 'Mosaic', form: 'pellet_90', stage: 'dry_hop', grams: 10 },
        { hop: 'Mosaic', form: 'pellet_90', stage: 'hot_steep', grams: 5 },
        { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 40 },
      ],
      objective: 55,
      lower_bound: 55,
      extra: 12,
    },
    reduced_cost_per_g: 0.4,
    levers: [
      { lever: 'oil', form: 'pellet_90', stage: 'dry_hop', factor: 1.42 },
      { lever: 'thiols', form: 'pellet_90', stage: 'dry_hop', factor: null },
    ],
  };

  it('names what more it takes, the blend with it and what it lacks', () => {
    expect(whyNotSentences(found, 'weight', 'metric')).toEqual([
      'Mosaic would need 12\u00a0g more hops in all.',
      'The best blend with it: Mosaic 15\u00a0g and Citra 40\u00a0g.',
      'To be worth using in the dry hop it would need 1.4 times its oil.',
    ]);
  });

  it('does not say more than was proven', () => {
    const open = { ...found, with_it: { ...found.with_it!, lower_bound: 45 }, levers: [] };
    expect(whyNotSentences(open, 'weight', 'metric')[0]).toBe(
      'Mosaic would need at most 12\u00a0g more hops in all.',
    );
    const undecided = { ...found, verdict: 'undecided' as const, with_it: null, levers: [] };
    expect(whyNotSentences(undecided, 'weight', 'metric')).toEqual([
      'No blend with Mosaic was found in the time given.',
    ]);
  });
});

describe('a clash', () => {
  const member: EasedMember = {
    wish: 'target.citrus',
    side: 'at_most',
    asked: 1.5,
    holds_at: 2.915,
    fails_at: 2.91,
    enough_alone: true,
    eased_to: 2.92,
    eased: null,
  };

  it('is reported wish by wish, with what would do', () => {
    expect(clashWords(member)).toBe('citrus at most 1.5');
    expect(easingWords(member)).toBe('2.92 is enough if all else stays');
    const stuck = { ...member, eased_to: null, enough_alone: false };
    expect(easingWords(stuck)).toBe('easing this alone is not enough');
    expect(easingWords({ ...stuck, enough_alone: null })).toMatch(/not settled/);
  });
});
