// Whether the hard limits leave any blend: found, proven that none does, or not known in time. What is
// not known is said so with what would settle it, and never told as limits that clash.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { model } from '#engine/tables/model.ts';
import { allowedBlend, AllowedSearch } from '#optimize/search/allowed.ts';
import { refusing, undecided } from '#optimize/search/clash.ts';
import { Clock, finished } from '#optimize/pacing/clock.ts';
import { design, designing } from '#optimize/questions/design.ts';
import { loadOf } from '#optimize/problem/evaluation.ts';
import { ibuAt } from '#optimize/problem/bitterness.ts';
import { countedTime } from '../support/counted-time.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';
import { BAND } from '../support/schedules.ts';

/** A brief that asks for the closest inside a narrow bitterness window, in steps of 5 g. */
function narrow(
  seed: number,
  hops: number,
  width: number,
  limits: Partial<Brief['limits']> = {},
): Brief {
  const drawn = randomBrief(seed, {
    hops,
    forms: 1,
    stages: ['hot_steep', 'dry_hop'],
    wishes: 4,
    beerL: 20,
    step: 5,
    ibu: true,
  });
  const middle = drawn.limits.ibu_at_most!;
  const window = { ibu_at_least: middle - width / 2, ibu_at_most: middle + width / 2 };
  return { ...drawn, minimise: 'closest', limits: { ...drawn.limits, ...window, ...limits } };
}

/** Not settled after 45,000 parts. */
const ENDLESS = narrow(3000, 3, 2e-6);

const TO_THE_LETTER = { band: BAND, exactWindows: true };
/** So many steps of a search. */
const limited = () => ({ timeLimitMs: 400, now: countedTime() });

function listening(clock: Clock) {
  return { clock, until: clock.deadline, progress: () => undefined };
}

describe('a bitterness window so narrow that hardly any whole steps hit it', () => {
  it('is found where a blend keeps it', () => {
    const problem = soundProblem(narrow(3008, 5, 0.02));
    const allowed = finished(allowedBlend(problem, listening(new Clock(30_000))));
    if (typeof allowed === 'string') throw new Error(allowed);
    const { atLeast, atMost } = problem.bitter!;
    const ibu = ibuAt(problem, allowed, loadOf(problem, allowed));
    expect(ibu).toBeGreaterThanOrEqual(atLeast! - 1e-5);
    expect(ibu).toBeLessThanOrEqual(atMost! + 1e-5);
  });

  it('is not known when time runs out or the search is stopped', () => {
    const problem = soundProblem(ENDLESS);
    expect(finished(allowedBlend(problem, listening(new Clock(100, countedTime()))))).toBe(
      'unknown',
    );

    const stopped = new Clock(600_000);
    const search = allowedBlend(problem, listening(stopped));
    let step = search.next();
    for (let i = 0; i < 3 && !step.done; i += 1) step = search.next();
    expect(step.done).toBe(false);
    step = search.next('stop');
    expect(step).toEqual({ done: true, value: 'unknown' });
  });

  it('gives way then, and the answer says that this was not settled', () => {
    const answers = [design(model, ENDLESS, { ...TO_THE_LETTER, ...limited() })];
    const search = designing(model, ENDLESS, { ...TO_THE_LETTER, timeLimitMs: 600_000 });
    let step = search.next();
    for (let i = 0; i < 5 && !step.done; i += 1) step = search.next();
    expect(step.done).toBe(false);
    step = search.next('stop');
    expect(step.done).toBe(true);
    if (step.done) answers.push(step.value);
    for (const [i, outcome] of answers.entries()) {
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      const { status, lower_bound, blends, why } = outcome.value;
      expect([status, lower_bound]).toEqual(['closest', 0]);
      expect(blends[0]!.misses.map((m) => m.wish).join()).toContain('limits.ibu');
      const notes = why.notes.join(' ');
      expect(notes).toContain(i === 0 ? 'time ran out before' : 'the search was stopped before');
      expect(notes).toContain('give more time: limits.ibu_at_least, limits.ibu_at_most');
      expect(notes).not.toContain('no blend keeps');
    }
  });

  it('keeps further blends to the clock too', () => {
    const options = { ...TO_THE_LETTER, ...limited(), alternatives: 3 };
    const outcome = design(model, ENDLESS, options);
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    expect(outcome.value.blends.length).toBeGreaterThan(0);
    expect(outcome.value.why.notes.join(' ')).toContain('time ran out before');
  });
});

describe('limits that no blend keeps', () => {
  // Two hops in any case, for a cent.
  const clashing = narrow(3008, 5, 1, {
    ibu_at_least: undefined,
    ibu_at_most: undefined,
    require: ['Invented 1', 'Invented 2'],
    hops_at_most: 2,
    cost_at_most: 0.01,
    stage_at_most_g_per_l: { dry_hop: 8, hot_steep: 8 },
  });
  const plain = JSON.parse(JSON.stringify(clashing)) as Brief;

  it.each(['closest', 'weight'] as const)('are named, and only those (%s)', (minimise) => {
    const outcome = design(model, { ...plain, minimise }, { band: BAND });
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    const [problem] = outcome.problems;
    expect(problem!.message).toBe(
      'no blend keeps all of these: limits.cost_at_most, limits.require (Invented 1, Invented 2)',
    );
    expect(problem!.cure).toBe('Loosen one of them');
  });

  it('are told from those of which it is not known', () => {
    expect(finished(allowedBlend(soundProblem(plain), listening(new Clock())))).toBe('none');
    const refused = finished(refusing(soundProblem(plain)));
    expect(!refused.ok && refused.problems[0]!.message).toContain('no blend keeps');
    const unknown = finished(refusing(soundProblem(ENDLESS)));
    expect(!unknown.ok && unknown.problems[0]!.message).toContain('time ran out before');
    const { cure } = undecided(soundProblem({ ...plain, minimise: 'weight' }), new Clock());
    expect(cure).toContain('limits.cost_at_most');
    expect(cure).not.toContain('limits.ibu');
  });

  it('are none where a blend known from elsewhere keeps them', () => {
    const problem = soundProblem(ENDLESS);
    const search = new AllowedSearch({ ...problem, bitter: { ...problem.bitter!, held: false } });
    expect(search.allowed).toEqual({ columns: [], doses: [] });
    expect(search.step()).toBe(false);
  });
});

describe('money over lots that have no price', () => {
  const { brief } = SEED_BRIEFS[0]!;

  it.each([
    ['minimised', { ...brief, minimise: 'cost' as const }],
    ['limited', { ...brief, limits: { ...brief.limits, cost_at_most: 5 } }],
  ])('is refused by its own reason and cure where it is %s', (_, counted) => {
    const refused = design(model, counted);
    if (refused.ok) throw new Error('answered');
    const [{ path, message, cure }] = refused.problems as [(typeof refused.problems)[0]];
    expect(refused.problems).toHaveLength(1);
    expect(path).toBe('candidates');
    expect(message).toContain('no price_per_kg');
    expect(message).not.toContain('linalool');
    expect(cure).toContain('lots with their prices');
  });
});
