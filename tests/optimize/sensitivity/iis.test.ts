// Clashes: that the members cannot be met together, can be met without any one of them, and that the
// least change of each is enough and not more than it must be. All of it solved anew.
import { describe, expect, it } from 'vitest';
import type { Clash } from '#shared/answers/answer.ts';
import type { Brief, Target } from '#shared/schemas/brief.ts';
import { model } from '#engine/tables/model.ts';
import { briefOfClash, briefWith, clashing, meetable } from '#optimize/sensitivity/iis.ts';
import { design } from '#optimize/questions/design.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { windowOf } from '#optimize/problem/windows.ts';
import { Clock, finished } from '#optimize/pacing/clock.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { randomBrief, type Shape } from '../support/instances.ts';

const ENDLESS = new Clock(Infinity);
const SHAPES: readonly Shape[] = [
  { hops: 6, forms: 1, stages: ['hot_steep', 'dry_hop'], wishes: 4, beerL: 20, ibu: true },
  {
    hops: 5,
    forms: 2,
    stages: ['mash', 'hot_steep', 'dry_hop'],
    wishes: 4,
    beerL: 20,
    hopsAtMost: 3,
    smallest: 5,
  },
];

/** A brief whose wishes at least are raised and wishes at most lowered. */
function harder(brief: Brief, by: number): Brief {
  const target: Target = {};
  for (const [axis, wish] of Object.entries(brief.target)) {
    const { low, high } = windowOf(wish);
    target[axis as keyof Target] = {
      ...(low > 0 ? { at_least: Math.min(low * by, 10) } : {}),
      ...(high < Infinity && low <= 0 ? { at_most: high / by } : {}),
    };
  }
  return { ...brief, target };
}

function canBeMet(brief: Brief): boolean {
  return finished(meetable(model, brief, ENDLESS))!;
}

const DRAWN = Array.from({ length: 90 }, (_, i) => {
  const brief = harder(randomBrief(300 + i, SHAPES[i % SHAPES.length]!), 1.5);
  return [`drawn ${i}`, brief] as const;
}).filter(([, brief]) => problemOf(model, brief).ok && !canBeMet(brief));

/** Bitterness from a boil that takes none of the forms on offer. */
const UNBITTER: Brief = {
  ...SEED_BRIEFS.find((s) => s.id === 'resin-led')!.brief,
  stages: {
    boil: { minutes: 60 },
    dry_hop: { temp_c: 18, hours: 72, mixed: false, live_yeast: false },
  },
  target: { resin: { at_least: 2 } },
  limits: {
    ibu_at_least: 45,
    stage_at_most_g_per_l: { dry_hop: 5 },
    stage_forms: { boil: ['cone'] },
    ban: [],
    require: [],
  },
  candidates: [{ hop: 'Simcoe', form: 'pellet_enriched' }],
};

const CASES: readonly (readonly [string, Brief])[] = [
  ['the clash of the workspace', SEED_BRIEFS.find((s) => s.id === 'clash')!.brief],
  ['bitterness in forms the boil does not take', UNBITTER],
  ...DRAWN.slice(0, 30),
];

const CLASHES = new Map<Brief, Clash>(
  CASES.map(([, brief]) => [brief, finished(clashing(model, brief, ENDLESS))!]),
);

describe('clashes', () => {
  it('are looked at on at least 30 drawn briefs', () => {
    expect(CASES.length).toBeGreaterThanOrEqual(31);
    const sizes = new Set([...CLASHES.values()].map((c) => c.members.length));
    expect(Math.max(...sizes)).toBeGreaterThanOrEqual(2);
  });

  it('name the forms of a stage', () => {
    const wishes = CLASHES.get(UNBITTER)!.members.map(({ wish }) => wish);
    expect(wishes).toContain('limits.stage_forms.boil');
    expect(wishes).toContain('limits.ibu_at_least');
  });

  it.each(CASES)('%s: cannot be met together, can without any one member', (_, brief) => {
    const clash = CLASHES.get(brief)!;
    expect(clash.irreducible).toBe(true);
    expect(clash.members.length).toBeGreaterThan(0);
    expect(canBeMet(briefOfClash(brief, clash))).toBe(false);
    for (const member of clash.members) {
      expect(canBeMet(briefOfClash(brief, clash, [member])), member.wish).toBe(true);
    }
  });

  it.each(CASES)('%s: the least change of each member is enough and needed', (_, brief) => {
    for (const member of CLASHES.get(brief)!.members) {
      const { holds_at, fails_at, enough_alone, asked } = member;
      if (enough_alone === false) {
        expect(holds_at).toBeNull();
        continue;
      }
      expect(enough_alone).toBe(true);
      if (holds_at === null) continue;
      expect(canBeMet(briefWith(brief, member, holds_at))).toBe(true);
      expect(canBeMet(briefWith(brief, member, fails_at!))).toBe(false);
      expect(Math.abs(holds_at - fails_at!)).toBeLessThanOrEqual(
        Math.max(0.005, 0.005 * asked!, member.wish === 'limits.hops_at_most' ? 1 : 0) * 1.001,
      );
    }
  });

  it('end where the design is asked with the least change', () => {
    const [[, brief]] = CASES as [(typeof CASES)[0]];
    const member = CLASHES.get(brief)!.members.find((m) => m.holds_at !== null)!;
    const answer = design(model, briefWith(brief, member, member.holds_at!), {
      band: { samples: 20, seed: 1 },
    });
    expect(answer.ok && answer.value.status).not.toBe('closest');
    expect(answer.ok && answer.value.blends[0]!.misses).toEqual([]);
  });

  it('of one wish alone is a wish no blend can meet', () => {
    const brief: Brief = { ...SEED_BRIEFS[4]!.brief, target: { tropical: { at_least: 9 } } };
    const { members, smallest } = finished(clashing(model, brief, ENDLESS))!;
    expect(members.map((m) => `${m.wish} ${m.side}`)).toEqual(['target.tropical at_least']);
    expect(smallest).toBe(true);
    expect(members[0]!.holds_at).toBeLessThan(9);
  });

  it('is none where a blend meets the brief', () => {
    const { brief } = SEED_BRIEFS.find((s) => s.id === 'near-empty-freezer')!;
    expect(finished(clashing(model, brief, ENDLESS))).toBeNull();
  });
});
