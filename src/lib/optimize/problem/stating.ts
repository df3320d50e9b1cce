// From a brief to the blend problem it states: lots tied to their composition, columns, rows, limits.
// Says what cannot be asked at all, before anything is searched.
import type { LeftOut } from '#shared/answers/answer.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Brief, Limits } from '#shared/schemas/brief.ts';
import { formsPerHop } from '#shared/schemas/limit-counts.ts';
import { stageMost } from '#shared/schemas/stage-limits.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { FormId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';
import { processOf } from '#engine/process/process.ts';
import { CENTRAL, type World } from '#engine/symbols/world.ts';
import { offering, varietyKey, type Offer } from './candidates.ts';
import { finished, listening, type Clock, type Resting, type Run } from '#optimize/pacing/clock.ts';
import { columnSetOf, type ColumnSet } from './columns.ts';
import { freeStock, fixedAdditionsOf, fixedIn, type FixedAdditions } from './fixed-additions.ts';
import { linearLimits } from './limit-rows.ts';
import { objectivePerDose } from './objectives.ts';
import { buyingIn } from './packages.ts';
import type { BlendProblem } from './problem.ts';
import { withUsualDoses } from './usual-doses.ts';
import { axisRows, bitterRow } from './wish-rows.ts';

/** The lots of a brief: those on offer and those of fixed additions. */
export interface Stated {
  readonly offers: readonly Offer[];
  readonly leftOut: readonly LeftOut[];
  readonly fixed: readonly LotAddition[];
}

/** Ties the lots of a brief to their composition. Fails where lots or names are not known. */
export function* tying(model: Model, brief: Brief): Resting<Outcome<Stated>> {
  if (stagesOf(brief.stages).length === 0) {
    return failure({
      path: 'stages',
      message: 'no stage is described, so no hops can be added',
      cure: `Add one of stages.${STAGE_KINDS.join(', stages.')}`,
    });
  }
  const found = yield* offering(model, brief);
  if (!found.ok) return found;
  const fixed = fixedAdditionsOf(model, brief);
  if (!fixed.ok) return fixed;
  return success({ ...found.value, fixed: fixed.value });
}

/** All lots of a brief, each once. */
export function lotsIn({ offers, fixed }: Stated): Set<Lot> {
  return new Set([...offers.map((o) => o.lot), ...fixed.map((a) => a.lot)]);
}

/**
 * States the problem of a brief at the central figures. Fails when nothing can be asked: no stage
 * described, lots nobody knows, required hops that are banned, missing or more than `hops_at_most` or
 * `additions_at_most`.
 */
export function problemOf(model: Model, brief: Brief): Outcome<BlendProblem> {
  return finished(stating(model, brief));
}

/** The problem reported where a search is stopped before it has begun. */
export const STOPPED_READING: Problem = {
  path: 'candidates',
  message: 'the search was stopped while the lots were still being read',
  cure: 'Search again and let it go on a little longer',
};

/** The same on a clock. Fails too where it is stopped before the problem is stated. */
export function* heardStating<Progress>(
  model: Model,
  brief: Brief,
  clock: Clock,
  snapshot: () => Progress,
): Run<Progress, Outcome<BlendProblem>> {
  const stated = yield* listening(clock, stating(model, brief), snapshot);
  return stated ?? failure(STOPPED_READING);
}

/** The problem of each brief, as it was stated last: of thousands of lots it takes a while. */
const statedLast = new WeakMap<Brief, { readonly model: Model; readonly problem: BlendProblem }>();

/** The same as `problemOf`, so many lots at a time. */
export function* stating(model: Model, brief: Brief): Resting<Outcome<BlendProblem>> {
  const last = statedLast.get(brief);
  if (last?.model === model) return success(last.problem);
  const tied = yield* tying(model, brief);
  if (!tied.ok) return tied;
  const stated = yield* statingIn(model, brief, tied.value, CENTRAL);
  if (stated.ok) statedLast.set(brief, { model, problem: stated.value });
  return stated;
}

/**
 * A share so small that the hops there may be cannot make up the whole weight; `null` where they can.
 * @param varieties names of the hops to choose from.
 */
function shareProblem(
  { share_at_most: share = 1, hops_at_most: hops, additions_at_most: lines }: Limits,
  varieties: readonly string[],
  { additions }: FixedAdditions,
  hopsAtMost: number,
): Problem | null {
  if (share >= 1) return null;
  const fixed = new Set(additions.map((a) => nameKey(a.lot.hop)));
  const all = new Set([...varieties.map(nameKey), ...fixed]).size;
  const most = Math.min(hopsAtMost + fixed.size, all);
  if (most * share >= 1 - 1e-9) return null;
  const percent = (part: number) => `${Number((100 * part).toPrecision(4))} %`;
  const needed = Math.ceil(1 / share - 1e-9);
  const fewest = Number((Math.ceil(1e4 / most) / 1e4).toPrecision(4));
  const asked = Math.min(hops ?? Infinity, lines ?? Infinity);
  const tight = asked === lines ? 'additions' : 'hops';
  const more =
    asked < varieties.length && needed - fixed.size <= varieties.length
      ? `limits.${tight}_at_most to ${needed - fixed.size}`
      : `offer at least ${needed} hops`;
  const raise = `Raise limits.share_at_most to ${fewest}`;
  return {
    path: 'limits.share_at_most',
    message: `${most} ${most === 1 ? 'hop' : 'hops'} of at most ${percent(share)} each make up ${percent(most * share)} of the hop weight, never the whole`,
    cure: most < 1 ? `Offer at least ${needed} hops` : `${raise}, or ${more}`,
  };
}

/** Most hops there may be: each takes an addition. */
function mostHops(
  { hops_at_most: hops = Infinity, additions_at_most: additions = Infinity }: Limits,
  offered: number,
): number {
  return Math.min(hops, additions, offered);
}

/** What is wrong where more hops are required than there may be; `null` if nothing is. */
function crowdedOut(limits: Limits, required: number): Problem | null {
  for (const limit of ['hops_at_most', 'additions_at_most'] as const) {
    const most = limits[limit];
    if (most === undefined || required <= most) continue;
    const what = limit === 'hops_at_most' ? 'may be used' : 'can be added';
    return {
      path: `limits.${limit}`,
      message: `${required} hops are required, but only ${most} ${what}`,
      cure: `Raise limits.${limit}, or require fewer hops`,
    };
  }
  return null;
}

/** Most forms of a hop and most additions, where what is on offer could go beyond. */
function countsOf(
  limits: Limits,
  { columns, varieties }: ColumnSet,
): Pick<BlendProblem, 'formsPerHopAtMost' | 'additionsAtMost'> {
  const forms = varieties.map(() => new Set<FormId>());
  for (const { variety, form } of columns) forms[variety]!.add(form);
  const most = formsPerHop(limits);
  const additions = limits.additions_at_most ?? Infinity;
  return {
    formsPerHopAtMost: forms.some((f) => f.size > most) ? most : Infinity,
    additionsAtMost: additions < columns.length ? additions : Infinity,
  };
}

/** The largest load that columns and limits on stages leave, all dry hops together, g/L. */
function loadMostOf(
  { stages, limits }: Brief,
  { columns, loads }: ColumnSet,
  fixed: FixedAdditions,
): GramsPerLitre {
  const mosts = stagesOf(stages).map(({ key }) => {
    const most = columns.reduce((sum, c, j) => sum + (loads[j] && c.stage === key ? c.most : 0), 0);
    const room = (stageMost(limits, key) ?? Infinity) - (fixed.doses.get(key) ?? 0);
    return Math.max(0, Math.min(most, room));
  });
  return mosts.reduce((sum, most) => sum + most, 0);
}

/** The same with other compositions of the lots: those of a drawn world. */
export function* statingIn(
  model: Model,
  asked: Brief,
  stated: Stated,
  world: World,
): Resting<Outcome<BlendProblem>> {
  const limits = withUsualDoses(model, asked.limits, { ...asked, additions: asked.keep ?? [] });
  const brief = { ...asked, limits };
  const { batch } = brief;
  const { offers } = stated;
  const values = defaultValues(model);
  const process = processOf(model, batch, brief.stages);
  const fixed = fixedIn(process, brief, stated.fixed, world);
  const step = (limits.weigh_step_g ?? 0) / batch.beer_l;
  const smallest = (limits.smallest_addition_g ?? 0) / batch.beer_l;
  const least = step > 0 ? Math.ceil(smallest / step - 1e-9) * step : smallest;
  const free = freeStock(
    offers.map((o) => o.lot),
    fixed,
  );
  const columnSet = yield* columnSetOf(process, brief, offers, fixed, free, world, least, step);
  const { columns, varieties } = columnSet;
  // Kept for whoever asks next: of thousands of lots it takes a while.
  buyingIn(columns);
  yield;
  const columnsOfVariety: number[][] = varieties.map(() => []);
  columns.forEach(({ variety, stage }, j) => stage !== null && columnsOfVariety[variety]!.push(j));
  const keys = varieties.map(nameKey);
  const required = [...new Set(limits.require.map((n) => keys.indexOf(varietyKey(model, n))))];
  if (required.includes(-1)) {
    const name = limits.require.find((n) => !keys.includes(varietyKey(model, n)))!;
    return failure({
      path: `limits.require[${limits.require.indexOf(name)}]`,
      message: `"${name}" is required, but stock and stage limits leave room for no addition of it`,
      cure: 'Raise grams_on_hand or limits.stage_at_most_g_per_l, or lower limits.smallest_addition_g',
    });
  }
  const hopsAtMost = mostHops(limits, varieties.length);
  const crowded = crowdedOut(limits, required.length);
  if (crowded) return failure(crowded);
  yield;
  const unshared = shareProblem(limits, varieties, fixed, hopsAtMost);
  if (unshared) return failure(unshared);
  const dry = Float64Array.from(columnSet.loads, Number);
  const objective = objectivePerDose(brief, offers, columnSet);
  yield;
  const axes = yield* axisRows(model, brief, columnSet, fixed, values);
  yield;
  const bitter = bitterRow(process, brief, columnSet, fixed, values);
  yield;
  const rows = linearLimits(brief, offers, columnSet, fixed, free);
  yield;
  return success({
    beerL: batch.beer_l,
    minimise: brief.minimise,
    values,
    offers,
    leftOut: [...stated.leftOut, ...columnSet.leftOut],
    columns,
    varieties,
    columnsOfVariety,
    fixed,
    objective,
    dry,
    loadMax: loadMostOf(brief, columnSet, fixed),
    halfLoads: LOAD_GROUPS.map((g) => values[`dry_hop.half_load.${g}`] + fixed.load),
    axes,
    bitter,
    limits: rows,
    hopsAtMost,
    ...countsOf(limits, columnSet),
    required,
    least,
    step,
  });
}
