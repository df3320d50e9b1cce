// Savings: inside the windows, never worse than the schedule, as cheap as a plain design with the same
// windows, and the schedule itself where nothing can be saved.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import type { SavingsAnswer } from '#shared/answers/comparison.ts';
import { saveSchema } from '#shared/schemas/asked.ts';
import { briefSchema, type Schedule } from '#shared/schemas/brief.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { profileOf, REACHED, unnoticed, type Profile } from '#optimize/problem/profile.ts';
import { design } from '#optimize/questions/design.ts';
import { saving } from '#optimize/questions/savings.ts';
import { BAND, HAZY, PALE, valueOf } from '../support/schedules.ts';

const STEPS = { weigh_step_g: 1, smallest_addition_g: 5 };

function saved(schedule: Schedule, rest: object = {}): SavingsAnswer {
  const save = saveSchema.parse({ ...schedule, limits: STEPS, ...rest });
  return valueOf(saving(model, save, { band: BAND, timeLimitMs: 600_000 }));
}

function valueOfProfile(schedule: Schedule): Profile {
  const profile = profileOf(model, schedule);
  if (!profile.ok) throw new Error('a schedule of this test');
  return profile.value;
}

describe.each([
  ['pale', PALE],
  ['hazy', HAZY],
])('savings on the %s schedule', (_, schedule) => {
  const candidates = [
    { hop: 'Cascade', form: 'pellet_90', price_per_kg: 18, grams_on_hand: 500 },
    { hop: 'Columbus (CTZ)', form: 'pellet_90', price_per_kg: 24 },
  ];
  const answer = saved(schedule, { candidates });
  const before = profileOf(model, schedule);
  if (!before.ok) throw new Error('a schedule of this test');

  it('are the cheapest and the lightest', () => {
    expect(answer.blends.map((b) => b.minimised)).toEqual(['cost', 'weight']);
    const [cheap, light] = answer.blends;
    expect(cheap!.totals.cost).toBeLessThanOrEqual(light!.totals.cost! * 1.01);
    expect(light!.totals.hop_g).toBeLessThanOrEqual(cheap!.totals.hop_g + 1);
  });

  it('are never worse than the schedule in what they minimise', () => {
    for (const { minimised, totals_change } of answer.blends) {
      const change = minimised === 'cost' ? totals_change.cost! : totals_change.hop_g;
      expect(change).toBeLessThanOrEqual(1e-9);
    }
  });

  it('keep every signal within a quarter, and the bitterness in its window', () => {
    for (const { additions, changes } of answer.blends) {
      const design = designOf(model, { ...schedule, additions: [...additions] });
      if (!design.ok) throw new Error('a blend of its own');
      const { axes, totals } = predict(model, design.value, BAND);
      for (const axis of AXES) {
        expect(changes[axis].noticeable).toBe(false);
        if (before.value.intensities[axis] < REACHED) continue;
        const ratio = axes[axis].signal / before.value.signals[axis];
        expect(ratio).toBeGreaterThan(1 / 1.25 - 1e-5);
        expect(ratio).toBeLessThan(1.25 + 1e-5);
      }
      const [low, high] = answer.ibu_between;
      expect(totals.ibu).toBeGreaterThan(low * (1 - 1e-5));
      expect(totals.ibu).toBeLessThan(high * (1 + 1e-5));
      const room = Math.max(2, 0.1 * before.value.totals.ibu);
      expect(high - before.value.totals.ibu).toBeCloseTo(room, 9);
    }
  });

  it('say how sure they are', () => {
    for (const { proof, minimised, totals } of answer.blends) {
      expect(proof.status).toBe('optimal');
      const figure = minimised === 'cost' ? totals.cost! : totals.hop_g;
      expect(proof.lower_bound).toBeLessThanOrEqual(figure + 1e-9);
    }
  });

  it('grow with what may go unnoticed, and shrink to nothing with it', () => {
    const [cost, weight] = [0, 1].map((i) => {
      const strict = saved(schedule, { candidates, just_noticeable: 0.05 });
      return strict.blends[i]!;
    });
    expect(cost!.totals.cost).toBeGreaterThanOrEqual(answer.blends[0]!.totals.cost! * 0.99);
    expect(weight!.totals.hop_g).toBeGreaterThanOrEqual(answer.blends[1]!.totals.hop_g - 1);
  });
});

describe('a schedule with nothing to save', () => {
  it('is given back unchanged', () => {
    const lone: Schedule = { ...PALE, additions: [PALE.additions[1]!] };
    const { dry_hop } = PALE.stages;
    const { blends, why } = saved({ ...lone, stages: { dry_hop } }, { just_noticeable: 0 });
    for (const blend of blends) {
      expect(blend.unchanged).toBe(true);
      expect(blend.additions).toEqual(lone.additions);
      expect(blend.totals_change.hop_g).toBe(0);
    }
    expect(why.notes.join()).toContain('the schedule stays as it is');
  });

  it('has no cheapest blend where prices are missing', () => {
    const unpriced = PALE.additions.map(({ price_per_kg: _, ...rest }) => rest);
    const { blends, why } = saved({ ...PALE, additions: unpriced });
    expect(blends.map((b) => b.minimised)).toEqual(['weight']);
    expect(blends[0]!.totals_change.cost).toBeNull();
    expect(why.notes.join()).toContain('no price_per_kg');
  });
});

it('tells which limits the schedule itself misses, where it stays', () => {
  const { blends } = saved(PALE, { limits: { ...STEPS, ibu_at_least: 400 } });
  for (const { unchanged, misses, totals, worst_miss } of blends) {
    expect(unchanged).toBe(true);
    expect(misses.map((m) => m.wish)).toEqual(['limits.ibu_at_least']);
    expect(worst_miss).toBeCloseTo((400 - totals.ibu) / 5, 9);
  }
});

describe('a goal for what to save', () => {
  const candidates = [
    { hop: 'Cascade', form: 'pellet_90', price_per_kg: 18 },
    { hop: 'Columbus (CTZ)', form: 'pellet_90', price_per_kg: 24 },
  ];

  const TWO = { ...PALE, additions: PALE.additions.slice(0, 2) };

  it('is reached where the cheapest blend saves as much', () => {
    const { blends, original, goal } = saved(HAZY, { candidates, save_at_least: 0.01 });
    expect(goal).toMatchObject({ share: 0.01, reached: true, loosenings: [] });
    expect(goal!.saved).toBeCloseTo(1 - blends[0]!.totals.cost! / original.totals.cost!, 12);
  });

  it('names where it is missed what would reach it, no further than needed', () => {
    const { goal, original, ibu_between, jnd } = saved(TWO, { save_at_least: 0.2 });
    expect(goal!.reached).toBe(false);
    expect(goal!.untried).toBe(0);
    expect(goal!.loosenings.length).toBeGreaterThan(0);
    const bys = goal!.loosenings.map(({ by }) => by);
    expect(bys).toEqual([...bys].sort((a, b) => a - b));
    const profile = valueOfProfile(TWO);
    const least = (path: string, to: number): number => {
      const [kind, name, side] = path.split('.') as [string, string, string];
      const target: Record<string, object> = unnoticed(model, profile, jnd);
      const limits: object = {
        ...STEPS,
        ibu_at_least: ibu_between[0],
        ibu_at_most: ibu_between[1],
      };
      const own = TWO.additions.map(({ hop, form, price_per_kg }) => ({ hop, form, price_per_kg }));
      const answer = design(
        model,
        briefSchema.parse({
          name: TWO.name,
          batch: TWO.batch,
          stages: TWO.stages,
          candidates: own,
          minimise: 'cost',
          target:
            kind === 'target' ? { ...target, [name]: { ...target[name], [side]: to } } : target,
          limits: kind === 'limits' ? { ...limits, [name]: to } : limits,
        }),
        { band: BAND, exactWindows: true },
      );
      if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
      return answer.value.status === 'closest' ? Infinity : answer.value.blends[0]!.totals.cost!;
    };
    const most = goal!.cost_at_most;
    expect(most).toBeCloseTo(original.totals.cost! * 0.8, 9);
    for (const { path, from, to, by, cost } of goal!.loosenings.slice(0, 2)) {
      expect(cost).toBeLessThanOrEqual(most * (1 + 1e-9));
      expect(least(path, to)).toBeLessThanOrEqual(most * (1 + 1e-6));
      expect(least(path, to - ((to - from) / by) * 0.1)).toBeGreaterThan(most);
    }
  });

  it('names the hops without a price where the cost is not known', () => {
    const additions = HAZY.additions.map((a, i) => (i ? a : { ...a, price_per_kg: undefined }));
    const { goal, why } = saved({ ...HAZY, additions }, { save_at_least: 0.1 });
    expect(goal).toBeNull();
    expect(why.notes.join()).toContain(`no price_per_kg for ${HAZY.additions[0]!.hop}`);
  });
});

describe('the beer that hops hold back', () => {
  const candidates = [{ hop: 'Cascade', form: 'pellet_90', price_per_kg: 18 }];
  const paid = (price: number, { totals }: Pick<SavingsAnswer['blends'][0], 'totals'>) =>
    totals.cost! + price * totals.beer_lost_l;

  it('counts in the cheapest where it has a price, and in the goal', () => {
    const price = 20;
    const without = saved(HAZY, { candidates });
    const counted = saved(HAZY, { candidates, beer_price_per_l: price, save_at_least: 0.01 });
    expect([without.beer_price_per_l, counted.beer_price_per_l]).toEqual([null, price]);
    const [cheapest] = counted.blends;
    // Both are proven least of what they count, so each is the better by its own count.
    expect(cheapest!.proof.status).toBe('optimal');
    expect(cheapest!.totals.cost! + 1e-9).toBeGreaterThanOrEqual(
      without.blends[0]!.totals.cost! * 0.999,
    );
    const [now, before] = [paid(price, cheapest!), paid(price, without.blends[0]!)];
    expect(now).toBeLessThan(before);
    expect(cheapest!.proof.lower_bound).toBeLessThanOrEqual(now + 1e-9);
    expect(cheapest!.proof.lower_bound).toBeGreaterThan(now * 0.98);
    const { totals } = counted.original;
    const original = totals.cost! + price * totals.beer_lost_l;
    expect(counted.goal!.saved).toBeCloseTo(1 - now / original, 9);
    expect(counted.goal!.cost_at_most).toBeCloseTo(original * 0.99, 9);
  });
});

describe('a stop', () => {
  it('is heard after each lot that is drawn for the bands of the schedule and for its chances', () => {
    const save = saveSchema.parse({ ...PALE, limits: STEPS });
    // Bands and chances draw every lot once each.
    const draws = 2 * new Set(PALE.additions.map(({ hop, form }) => `${hop} ${form}`)).size;
    for (let heard = 1; heard <= draws; heard += 1) {
      // So much time passes at every look at this clock that each rest is told.
      let time = 0;
      const now = () => (time += 100);
      const search = saving(model, save, { band: BAND, timeLimitMs: Infinity, now });
      for (let step = 0; step < heard; step += 1) search.next();
      const last = search.next('stop');
      expect(last).toMatchObject({ done: true, value: { ok: false } });
    }
  });
});

describe('savings with forms of which nothing is said', () => {
  /** Enriched pellets cheap enough to be wanted everywhere. */
  const candidates = ['Citra', 'Mosaic', 'Cascade'].flatMap((hop) => [
    { hop, form: 'pellet_enriched', price_per_kg: 5 },
    { hop, form: 'cone', price_per_kg: 90 },
  ]);
  const inMash = ({ blends }: SavingsAnswer) =>
    blends.flatMap((b) => b.additions.filter((a) => a.stage === 'mash').map((a) => a.form));
  const note = /^Into the mash goes no form but type 90 pellet and whole cone/;

  it('bring no form to a stage that is neither usual there nor in the schedule, and say so', () => {
    const answer = saved(HAZY, { candidates });
    expect(inMash(answer)).not.toContain('pellet_enriched');
    expect(answer.why.notes).toContainEqual(expect.stringMatching(note));
  });

  it('put no more into a stage than is usual there or in the schedule, and say so', () => {
    // Without a boil, the cheapest bitterness is a weak hop in the mash.
    const { mash, dry_hop } = HAZY.stages;
    const additions = [
      { hop: 'Magnum', form: 'pellet_90', stage: 'mash', grams: 40, price_per_kg: 30 },
      { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 60, price_per_kg: 44 },
    ] as const;
    const cheap = [{ hop: 'Saaz', form: 'pellet_90', price_per_kg: 2 }] as const;
    const schedule = {
      ...HAZY,
      stages: { mash: mash!, dry_hop: dry_hop! },
      additions: [...additions],
    };
    const inMashOf = (limits: object) => {
      const answer = saved(schedule, { candidates: [...cheap], limits: { ...STEPS, ...limits } });
      const { additions: of } = answer.blends[0]!;
      const grams = of.reduce((sum, a) => sum + (a.stage === 'mash' ? a.grams : 0), 0);
      return { grams, notes: answer.why.notes.join() };
    };
    const usual = inMashOf({});
    expect(usual.grams).toBeLessThanOrEqual(100);
    expect(usual.notes).toContain('Into the mash go at most 5 g/L');
    const lifted = inMashOf({ stage_at_most_g_per_l: {} });
    expect(lifted.grams).toBeGreaterThan(100);
    expect(lifted.notes).not.toContain('Into the mash go at most');
  });

  it('leave a form where the schedule has it', () => {
    const [first, ...others] = HAZY.additions;
    const additions = [{ ...first!, form: 'pellet_enriched' as const }, ...others];
    expect(first!.stage).toBe('mash');
    const answer = saved({ ...HAZY, additions }, { candidates });
    expect(inMash(answer)).toContain('pellet_enriched');
    expect(answer.why.notes.join()).not.toContain('Into the mash goes');
  });

  it.each([{}, { mash: ['pellet_90', 'pellet_enriched'] }])(
    'follow what limits say: %j',
    (forms) => {
      const answer = saved(HAZY, { candidates, limits: { ...STEPS, stage_forms: forms } });
      expect(inMash(answer)).toContain('pellet_enriched');
      expect(answer.why.notes.join()).not.toContain('Into the mash goes');
    },
  );
});
