// Tiny briefs against plain enumeration: every set of doses in whole weighing steps, judged by the
// engine's own prediction. No program, no relaxation, no shared arithmetic.
import { describe, expect, it } from 'vitest';
import type { StageKind } from '#shared/stages/kinds.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { lotOf, type Lot } from '#engine/lot/composition.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { AXES, type FormId } from '#shared/ids.ts';
import { design } from '#optimize/questions/design.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { windowOf } from '#optimize/problem/windows.ts';
import { randomBrief } from '../support/instances.ts';

const BEER_L = 20;
const STEP = 30;
const STEPS_MAX = 7;

/** Whether the engine finds every wish and the bitterness window met, to rounding. */
function meets(brief: Brief, additions: LotAddition[]): boolean {
  const { name, batch, stages, limits } = brief;
  const point = predictPoint(model, { name, batch, stages, additions });
  const values = defaultValues(model);
  const { ibu } = point.totals;
  if (ibu > (limits.ibu_at_most ?? Infinity) + 1e-7) return false;
  if (ibu < (limits.ibu_at_least ?? 0) - 1e-7) return false;
  return AXES.every((axis, i) => {
    const wish = brief.target[axis];
    if (!wish) return true;
    const { low, high } = windowOf(wish);
    const intensity = intensityOf(point.signals[i]!, values);
    return intensity >= low - 1e-7 && intensity <= high + 1e-7;
  });
}

/** What one step of a lot counts in the figure that is least. */
type StepOf = (lot: Lot) => number;
const ONE_STEP: StepOf = () => 1;
const COST_OF_STEP: StepOf = ({ pricePerKg }) => (pricePerKg! / 1000) * STEP;

/** The least figure of any blend that meets the brief; infinite if none within reach does. */
function leastOf(brief: Brief, stages: readonly StageKind[], stepOf: StepOf): number {
  if (brief.candidates === 'table') throw new Error('lots are listed in these briefs');
  const lots = brief.candidates.map((candidate) => {
    const lot = lotOf(model, candidate);
    if (!lot.ok) throw new Error('an invented lot is always known');
    return lot.value;
  });
  const columns = lots
    .flatMap((lot) => stages.map((stage) => ({ lot, stage })))
    .filter(({ lot, stage }) => brief.limits.stage_forms?.[stage]?.includes(lot.form) ?? true);
  const { hops_at_most: most = Infinity, smallest_addition_g: least = 0 } = brief.limits;
  const { forms_per_hop_at_most: forms = 1, additions_at_most: lines = Infinity } = brief.limits;
  const share = brief.limits.share_at_most ?? 1;
  let best = Infinity;
  const counts = columns.map(() => 0);
  const visit = (at: number, used: number, figure: number) => {
    if (figure >= best) return;
    if (at === columns.length) {
      const additions = columns
        .map((column, i) => ({ ...column, grams: counts[i]! * STEP }))
        .filter((a) => a.grams > 0);
      if (new Set(additions.map((a) => a.lot.hop)).size > most) return;
      if (additions.some((a) => a.grams < least) || additions.length > lines) return;
      const formsOf = (hop: string) => additions.filter((a) => a.lot.hop === hop);
      if (additions.some((a) => new Set(formsOf(a.lot.hop).map((b) => b.lot.form)).size > forms))
        return;
      const steps = (hop: string) =>
        counts.reduce((sum, n, i) => sum + (columns[i]!.lot.hop === hop ? n : 0), 0);
      if (columns.some((c) => steps(c.lot.hop) > share * used + 1e-9)) return;
      if (meets(brief, additions)) best = figure;
      return;
    }
    for (let n = 0; used + n <= STEPS_MAX; n += 1) {
      counts[at] = n;
      visit(at + 1, used + n, figure + n * stepOf(columns[at]!.lot));
    }
    counts[at] = 0;
  };
  visit(0, 0, 0);
  return best;
}

const THREE_HOPS = { hops: 3, forms: 1, wishes: 2, beerL: BEER_L, step: STEP };

describe('against enumeration', () => {
  it.each(Array.from({ length: 40 }, (_, i) => 400 + i))('brief %i', (seed) => {
    const stages: StageKind[] =
      seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'hot_steep', 'dry_hop'];
    const brief = randomBrief(seed, {
      hops: seed % 2 ? 3 : 2,
      forms: 1,
      stages,
      wishes: 2 + (seed % 3),
      beerL: BEER_L,
      hopsAtMost: 2,
      step: STEP,
      ...(seed % 3 ? { smallest: 50 } : {}),
      ibu: seed % 4 === 1,
    });
    agrees(brief, stages);
  });

  it.each(Array.from({ length: 12 }, (_, i) => 560 + i))('brief %i, lots of a hop', (seed) => {
    const stages: StageKind[] = seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'dry_hop'];
    const shape = {
      hops: 1,
      lotsPerHop: 4,
      forms: 1,
      wishes: 2 + (seed % 3),
      room: [0.05, 0.2] as const,
    };
    const doses = { beerL: BEER_L, step: STEP, smallest: 50 };
    agrees(randomBrief(seed, { ...shape, ...doses, stages }), stages);
  });

  it.each(Array.from({ length: 40 }, (_, i) => 700 + i))(
    'brief %i, forms and additions counted',
    (seed) => {
      const stages: StageKind[] = seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'dry_hop'];
      const plain = randomBrief(seed, {
        hops: 2,
        forms: 2,
        stages,
        wishes: 2 + (seed % 3),
        beerL: BEER_L,
        step: STEP,
        ibu: seed % 4 === 1,
      });
      const limits = {
        ...plain.limits,
        ...(seed % 3 ? { additions_at_most: 1 + (seed % 3) } : {}),
        ...(seed % 4 ? {} : { forms_per_hop_at_most: 2 }),
        ...(seed % 5 ? {} : { stage_forms: formsAt(plain, stages) }),
      };
      agrees({ ...plain, limits }, stages);
    },
  );

  it.each(Array.from({ length: 18 }, (_, i) => 500 + i))('brief %i, shares capped', (seed) => {
    const stages: StageKind[] = seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'dry_hop'];
    const plain = randomBrief(seed, { ...THREE_HOPS, stages, room: [0.3, 1] });
    const limits = { ...plain.limits, share_at_most: [0.5, 0.6, 0.75][seed % 3]! };
    agrees({ ...plain, limits }, stages);
  });

  it.each(Array.from({ length: 40 }, (_, i) => 600 + i))('brief %i, least cost', (seed) => {
    const stages: StageKind[] = seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'dry_hop'];
    const plain = randomBrief(seed, { ...THREE_HOPS, stages });
    const brief: Brief = { ...plain, minimise: 'cost' };
    const cheapest = leastOf(brief, stages, COST_OF_STEP);
    const outcome = design(model, brief, { band: { samples: 20, seed: 1 } });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const { status, blends, lower_bound } = outcome.value;
    const { cost, hop_g } = blends[0]!.totals;
    // Beyond the reach of the enumeration nothing is known.
    if (cheapest === Infinity || hop_g / STEP > STEPS_MAX) return;
    // Not a weighing step dearer: a step of one hop costs what half a step of another does.
    expect(status).toBe('optimal');
    expect(cost!).toBeLessThanOrEqual(cheapest * (1 + PROVEN_GAP) + 1e-9);
    expect(lower_bound).toBeLessThanOrEqual(cheapest + 1e-9);
  });
});

/** At the first stage the form of the first lot alone, at the last every other form there is. */
function formsAt(
  { candidates }: Brief,
  stages: readonly StageKind[],
): Brief['limits']['stage_forms'] {
  const forms = [...new Set((candidates as readonly Candidate[]).map(({ form }) => form))];
  const [first, ...others] = forms as [FormId, ...FormId[]];
  return { [stages[0]!]: [first], [stages.at(-1)!]: others.length > 0 ? others : [first] };
}

/** The answer against the enumeration. */
function agrees(brief: Brief, stages: readonly StageKind[]): void {
  const fewest = leastOf(brief, stages, ONE_STEP);
  const outcome = design(model, brief, { band: { samples: 20, seed: 1 } });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const { status, blends, lower_bound } = outcome.value;
  const steps = blends[0]!.totals.hop_g / STEP;
  if (fewest === Infinity) {
    // Nothing within reach of the enumeration.
    expect(status === 'closest' || steps > STEPS_MAX).toBe(true);
    return;
  }
  expect(status).toBe('optimal');
  expect(steps).toBeGreaterThanOrEqual(fewest);
  expect(steps).toBeLessThanOrEqual(fewest + 1);
  expect(lower_bound / STEP).toBeLessThanOrEqual(fewest + 1e-9);
  expect(blends[0]!.misses).toEqual([]);
}
