// Additions made by hand are judged like a designed blend, re-planned to the gram, and compared.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { AXES } from '#shared/ids.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { comparing, foreseeing, foreseeingAlong } from '#optimize/questions/by-hand.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';

const brief: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const answer = design(model, brief);
if (!answer.ok) throw new Error('the demo brief is refused');
const best = answer.value.blends[0]!;
const additions = [...best.additions];

const foreseen = (asked: Brief, made = additions) => {
  const run = foreseeing(model, asked, made);
  const point = run.next();
  if (point.done) throw new Error('no point came first');
  const whole = finished(run);
  if (!whole.ok) throw new Error('no blend followed');
  return { point: point.value, whole: whole.value };
};

describe('additions made by hand', () => {
  it('give what the engine predicts, first as a point, then with bands', () => {
    const made = additions.map((a, i) => (i === 0 ? { ...a, grams: a.grams + 7 } : a));
    const { point, whole } = foreseen(brief, made);
    const { name, batch, stages } = brief;
    const designed = designOf(model, { name, batch, stages, additions: made });
    if (!designed.ok) throw new Error('the schedule is refused');
    const by = predict(model, designed.value);
    expect(whole.totals).toEqual(by.totals);
    for (const axis of AXES) {
      expect(point.axes[axis].intensity).toBe(by.axes[axis].intensity);
      expect(whole.axes[axis].low).toBe(by.axes[axis].low);
    }
  });

  it('miss what the blend designed for the wishes meets, once its hops are gone', () => {
    expect(foreseen(brief).whole.misses).toEqual(best.misses);
    const { point, whole } = foreseen(brief, []);
    expect(point.misses.length).toBeGreaterThan(0);
    expect(whole.misses).toEqual(point.misses);
  });

  it('are held against the stock on hand', () => {
    const [first] = additions;
    const { hop, form } = first!;
    const stocked: Brief = { ...brief, candidates: [{ hop, form, grams_on_hand: 5 }] };
    const made = [{ hop, form, stage: first!.stage, grams: 9 }];
    const miss = foreseen(stocked, made).whole.misses.find((m) => m.wish.includes('on_hand'));
    expect(miss).toMatchObject({ asked: 5, got: 9, by: 4 });
  });

  it('are held against it together with what is kept, and a smallest addition once', () => {
    const [{ hop, form, stage }] = additions as [(typeof additions)[0]];
    const kept = { hop, form, stage, grams: 4 };
    const limits = { ...brief.limits, smallest_addition_g: 5, weigh_step_g: 1 };
    const candidates = [{ hop, form, grams_on_hand: 5 }];
    const asked: Brief = { ...brief, target: {}, limits, candidates, keep: [kept] };
    const other = { ...additions.find((a) => a.hop !== hop)!, grams: 2 };
    const { misses } = foreseen(asked, [kept, { ...kept, grams: 3 }, other]).whole;
    const onHand = misses.filter((m) => m.wish.includes('on_hand'));
    expect(onHand).toMatchObject([{ asked: 5, got: 7, by: 2 }]);
    const small = misses.filter((m) => m.wish === 'limits.smallest_addition_g');
    expect(small).toMatchObject([{ asked: 5, got: 2, by: 3 }]);
  });

  it('miss a required hop that is in none of them, and a banned one by whatever name', () => {
    const limits = { ...brief.limits, require: ['saaz'], ban: [additions[0]!.hop.toUpperCase()] };
    const wishes = foreseen({ ...brief, limits }).whole.misses.map((m) => m.wish);
    expect(wishes).toContain('limits.require (saaz)');
    expect(wishes).toContain('limits.ban[0]');
    const saaz = { hop: 'Saaz', form: 'pellet_90', stage: 'dry_hop', grams: 5 } as const;
    const with_it = foreseen({ ...brief, limits }, [...additions, saaz]).whole.misses;
    expect(with_it.map((m) => m.wish)).not.toContain('limits.require (saaz)');
  });

  it('miss forms not asked for, two forms of a hop where one is said, and an addition too many', () => {
    const [first] = additions as [(typeof additions)[0]];
    const made = (['cone', 'pellet_90'] as const).map((form) => ({ ...first, form, grams: 9 }));
    const missed = (limits: Partial<Brief['limits']>) =>
      foreseen({ ...brief, target: {}, limits: { ban: [], require: [], ...limits } }, made).whole
        .misses;
    const { wish: forms, got } = missed({ forms: ['pellet_90'] })[0]!;
    expect([forms, got]).toEqual(['limits.forms', 1]);
    const stage_forms = { [first.stage]: ['pellet_90' as const], boil: ['cone' as const] };
    expect(missed({ stage_forms })).toEqual([
      { wish: `limits.stage_forms.${first.stage}`, asked: 0, got: 1, by: 1 },
    ]);
    expect(missed({ forms_per_hop_at_most: 1 })).toMatchObject([
      { wish: 'limits.forms_per_hop_at_most', asked: 1, got: 2, by: 1 },
    ]);
    expect(missed({ additions_at_most: 1 })).toMatchObject([
      { wish: 'limits.additions_at_most', asked: 1, got: 2, by: 1 },
    ]);
    expect(missed({ forms_per_hop_at_most: 2, additions_at_most: 2 })).toEqual([]);
    expect(missed({})).toEqual([]);
  });

  it('count bitterness they miss among the largest misses, 5 IBU as 1', () => {
    const { whole } = foreseen({
      ...brief,
      target: {},
      limits: { ...brief.limits, ibu_at_most: 400, ibu_at_least: 300 },
    });
    expect(whole.worst_miss).toBeCloseTo((300 - whole.totals.ibu) / 5, 9);
  });

  it('say which row cannot be predicted', () => {
    const made = [...additions, { ...additions[0]!, hop: 'No such hop' }];
    const refused = finished(foreseeing(model, brief, made));
    expect(refused.ok).toBe(false);
    if (!refused.ok) expect(refused.problems[0]!.path).toBe(`additions[${additions.length}].hop`);
  });

  it('stay to the gram when the rest is designed anew', () => {
    const kept = { ...additions[0]!, grams: additions[0]!.grams + 3 };
    const anew = design(model, { ...brief, keep: [kept] });
    if (!anew.ok) throw new Error('the brief with a kept addition is refused');
    expect(anew.value.blends[0]!.additions).toContainEqual(kept);
  });
});

describe('beside the usual schedule', () => {
  const { name, batch, stages } = brief;
  const comparedWith = (usual: { batch: Brief['batch']; additions: typeof additions }) => {
    const found = finished(comparing(model, brief, additions, { name, stages, ...usual }));
    if (!found.ok) throw new Error('the comparison is refused');
    return found.value;
  };

  it('a blend does not differ from itself, brewed at any volume', () => {
    const double = {
      batch: { ...batch, beer_l: batch.beer_l * 2 },
      additions: additions.map((a) => ({ ...a, grams: a.grams * 2 })),
    };
    const { scale, change, axes } = comparedWith(double);
    expect(scale).toBe(0.5);
    expect(change.hop_g).toBeCloseTo(0, 9);
    expect(change.ibu).toBeCloseTo(0, 9);
    expect(AXES.filter((a) => axes[a].noticeable)).toEqual([]);
  });

  it('twice the hops are noticed, and counted with their sign', () => {
    const half = { batch, additions: additions.map((a) => ({ ...a, grams: a.grams / 2 })) };
    const { usual, blend, change, axes } = comparedWith(half);
    expect(change.hop_g).toBeCloseTo(blend.hop_g / 2, 9);
    expect(change.hop_g).toBe(blend.hop_g - usual.hop_g);
    expect(AXES.some((a) => axes[a].noticeable && axes[a].change > 0)).toBe(true);
  });
});

describe('one addition along its doses', () => {
  const along = () => foreseeingAlong(model, brief, additions, 0, [10, 20, 30]);

  it('has a point for each dose, and hears a stop after any', () => {
    const all = finished(along());
    const hops = all.ok ? all.value.map(({ totals }) => totals.hop_g) : [];
    expect(hops.map((grams) => grams - hops[0]!)).toEqual([0, 10, 20]);
    const run = along();
    expect(run.next().done).toBe(false);
    const stopped = run.next('stop');
    expect(stopped.done && !stopped.value.ok && stopped.value.problems[0]!.cure).toBe('Ask again');
  });
});
