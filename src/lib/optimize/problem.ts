// The blend problem as mathematics, free of any solver: columns are uses (a lot at a stage) in grams
// per litre of beer, rows are wishes and limits. Everything is linear in the doses once the total
// dry-hop load D is fixed; the few things that depend on D are named here and nowhere else.
// Additions kept as they are come in as constants (kept.ts), their load K folded into the laws: with
// L the load chosen and D = K + L, 1/(1 + D/h) = h/(h + K) / (1 + L/(h + K)) and exp(-a D) =
// exp(-a K) exp(-a L). From here on the load of a problem is the load chosen, L.
import { AXES, COMPOUNDS, STAGES, type AxisId, type FormId, type StageId } from '#shared/ids.ts';
import type { LeftOut } from '#shared/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { DOSE_G_PER_L_MAX, type Brief, type Minimise, type Wish } from '#shared/schemas/brief.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { LEAF_DRIVER, signalMatrix } from '#engine/aroma.ts';
import { adsorptionFactor } from '#engine/bitterness.ts';
import { nameKey, type Lot } from '#engine/composition.ts';
import type { LotAddition } from '#engine/design.ts';
import { effectOf, maltEffect, processOf, type Effect } from '#engine/effect.ts';
import type { Model, ParameterValues } from '#engine/model.ts';
import { defaultWorld, isoFractionsOf, type World } from '#engine/predict.ts';
import { loadFactor } from '#engine/transfer.ts';
import { offersOf, varietyKey, type Offer } from './candidates.ts';
import { freeGrams, keptAdditions, keptIn, type Kept } from './kept.ts';

/**
 * Least dose of a required hop where neither a smallest addition nor a weighing step says it, g/L:
 * 4 g in 40 L. A judgement: less would meet the word of the wish and not its sense.
 */
export const REQUIRED_G_PER_L = 0.1;

/**
 * Leaf a gram of hop counts with at least where leaf is minimised, g. The mash keeps all leaf back;
 * without this, kilograms of mash hops would be as good as none.
 */
export const LEAST_LEAF = 1e-3;

/** Name of the rows, one for each variety, that hold its share of the hop weight. */
export const SHARE_LIMIT = 'limits.share_at_most';

/** A column: one lot at one stage. */
export interface Use {
  readonly lot: number;
  readonly variety: number;
  readonly form: FormId;
  readonly stage: StageId;
  /** Largest dose, g/L: stage limit, stock, the largest dose taken at all; in whole steps. */
  readonly most: number;
}

/**
 * Signal of an axis at the chosen load L:
 * base + direct.x + sum over load groups of (dampedBase + damped.x) / (1 + L/halfLoad).
 */
export interface AxisRow {
  readonly axis: AxisId;
  readonly wish: Wish;
  /** Wished intensities; minus and plus infinity where one side is free. */
  readonly low: number;
  readonly high: number;
  /** Whether the window stays as it is where the others are widened. */
  readonly held?: boolean;
  /** What the malt and the kept additions bring, untouched by the load. */
  readonly base: number;
  /** What kept dry hops bring before the chosen load takes its share, by load group. */
  readonly dampedBase: readonly number[];
  /** Signal per g/L of each use that the load does not change. */
  readonly direct: Float64Array;
  /** Signal per g/L before the load takes its share, by load group. */
  readonly damped: readonly Float64Array[];
}

/** A capped part of the bitterness: weight * (base + min(alpha.x, cap)). */
export interface BitterTerm {
  /** mg/L of alpha acids per g/L of each use. */
  readonly alpha: Float64Array;
  /** mg/L of alpha acids from kept additions, as far as they count. */
  readonly base: number;
  /** Alpha acids that still count beyond `base`, mg/L. */
  readonly cap: number;
  /** IBU per mg/L */
  readonly weight: number;
  /** Whether the dry hop takes its exp(-a L) share. */
  readonly adsorbed: boolean;
}

/** IBU = base + sum of terms (adsorbed ones times exp(-adsorption L)) + plain.x */
export interface BitterRow {
  readonly atLeast: number | undefined;
  readonly atMost: number | undefined;
  readonly terms: readonly BitterTerm[];
  /** IBU of kept additions that no load changes. */
  readonly base: number;
  readonly plain: Float64Array;
  /** L/g */
  readonly adsorption: number;
}

/** A hard limit: coef.x <= most. */
export interface LinearLimit {
  /** Path in the brief, like `limits.cost_at_most`. */
  readonly name: string;
  readonly coef: Float64Array;
  /** What is left of the limit beside the kept additions; below 0 where they overdraw a share. */
  readonly most: number;
  /** What the kept additions take of it. */
  readonly taken: number;
}

export interface BlendProblem {
  readonly beerL: number;
  readonly minimise: Minimise;
  readonly values: ParameterValues;
  readonly offers: readonly Offer[];
  readonly leftOut: readonly LeftOut[];
  readonly uses: readonly Use[];
  /** Names of the distinct hops among the uses. */
  readonly varieties: readonly string[];
  /** Uses of each variety. */
  readonly usesOf: readonly (readonly number[])[];
  /** What stays as it is. */
  readonly kept: Kept;
  /** Objective per g/L: g, money or g of leaf for the whole batch; kept additions do not count. */
  readonly objective: Float64Array;
  /** 1 for dry-hop uses: their sum is the load L. */
  readonly dry: Float64Array;
  /** Largest load worth looking at, g/L. */
  readonly loadMax: number;
  /** Half-loads by load group on top of the kept load, g/L. */
  readonly halfLoads: readonly number[];
  readonly axes: readonly AxisRow[];
  readonly bitter: BitterRow | null;
  readonly limits: readonly LinearLimit[];
  readonly hopsAtMost: number;
  /** Varieties used in any case, with at least `least`. */
  readonly required: readonly number[];
  /** g/L; a use is 0 or at least this. 0 where any dose will do. */
  readonly least: number;
  /** g/L; doses are whole multiples of it; 0 where any dose will do. */
  readonly step: number;
}

/** Window of intensities of a wish. */
export function windowOf(wish: Wish): { low: number; high: number } {
  const aimed = wish.aim !== undefined && wish.within !== undefined;
  return {
    low: Math.max(aimed ? wish.aim! - wish.within! : -Infinity, wish.at_least ?? -Infinity),
    high: Math.min(aimed ? wish.aim! + wish.within! : Infinity, wish.at_most ?? Infinity),
  };
}

/** Steps in a dose, forgiving the rounding of division. */
function stepsIn(dose: number, step: number): number {
  return Math.floor(dose / step + 1e-9);
}

interface Columns {
  readonly uses: Use[];
  readonly effects: Effect[];
  readonly varieties: string[];
  readonly leftOut: LeftOut[];
}

function columnsOf(
  model: Model,
  brief: Brief,
  offers: readonly Offer[],
  kept: Kept,
  world: World,
  least: number,
  step: number,
): Columns {
  const { batch, stages, limits } = brief;
  const process = processOf(model, batch, stages, world.values);
  const columns: Columns = { uses: [], effects: [], varieties: [], leftOut: [] };
  const varietyOf = new Map<string, number>();
  offers.forEach(({ lot }, index) => {
    const onHand = freeGrams(lot, kept);
    const stock = onHand / batch.beer_l;
    if (stock < Math.max(least, step) * (1 - 1e-9) || stock === 0) {
      const reason = `${onHand} g on hand and free is less than one addition may be`;
      columns.leftOut.push({ hop: lot.hop, reason });
      return;
    }
    const figures = world.lots.get(lot)!;
    for (const stage of STAGES) {
      if (!stages[stage]) continue;
      const stageMost = (limits.stage_at_most_g_per_l?.[stage] ?? Infinity) - kept.doses[stage];
      const dose = Math.min(DOSE_G_PER_L_MAX, stageMost, stock);
      const most = step > 0 ? stepsIn(dose, step) * step : dose;
      if (most <= 0 || most < least * (1 - 1e-9)) continue;
      const key = nameKey(lot.hop);
      if (!varietyOf.has(key)) varietyOf.set(key, columns.varieties.push(lot.hop) - 1);
      columns.uses.push({ lot: index, variety: varietyOf.get(key)!, form: lot.form, stage, most });
      columns.effects.push(effectOf(figures, stage, process));
    }
  });
  return columns;
}

function axisRows(
  model: Model,
  brief: Brief,
  { uses, effects }: Columns,
  kept: Kept,
  { values, thresholds }: World,
): AxisRow[] {
  const matrix = signalMatrix(model, thresholds, values);
  const malt = maltEffect(processOf(model, brief.batch, brief.stages, values));
  const left = (group: number) => loadFactor(LOAD_GROUPS[group]!, kept.doses.dry_hop, values);
  const groups = COMPOUNDS.map((c) => LOAD_GROUPS.indexOf(model.compounds[c].loadGroup));
  return AXES.flatMap((axis, row) => {
    const wish = brief.target[axis];
    if (!wish) return [];
    const weights = matrix[row]!;
    const drivers = COMPOUNDS.flatMap((_, i) => (weights[i]! === 0 ? [] : [i]));
    const dryWeights = drivers.map((i) => weights[i]! * left(groups[i]!));
    const direct = new Float64Array(uses.length);
    const damped = LOAD_GROUPS.map(() => new Float64Array(uses.length));
    uses.forEach(({ stage }, j) => {
      const { compounds, leaf } = effects[j]!;
      direct[j] = weights[LEAF_DRIVER]! * leaf;
      drivers.forEach((i, k) => {
        if (stage !== 'dry_hop') direct[j]! += weights[i]! * compounds[i]!;
        else damped[groups[i]!]![j]! += dryWeights[k]! * compounds[i]!;
      });
    });
    const dampedBase = LOAD_GROUPS.map(() => 0);
    let base = weights[LEAF_DRIVER]! * kept.leaf;
    malt.forEach((ug, i) => {
      base += weights[i]! * (ug + kept.direct[i]!);
      dampedBase[groups[i]!]! += weights[i]! * kept.damped[i]! * left(groups[i]!);
    });
    return [{ axis, wish, ...windowOf(wish), base, dampedBase, direct, damped }];
  });
}

function bitterRow(
  model: Model,
  brief: Brief,
  { effects }: Columns,
  { pools, doses }: Kept,
  { values }: World,
): BitterRow | null {
  const { ibu_at_least: atLeast, ibu_at_most: atMost } = brief.limits;
  if (atLeast === undefined && atMost === undefined) return null;
  const iso = isoFractionsOf(processOf(model, brief.batch, brief.stages, values));
  const of = (pick: (e: Effect) => number) => Float64Array.from(effects, pick);
  const hotCap = values['iso.hot_alpha_cap'];
  const dryCap = values['dry_hop.alpha_cap'];
  const left = values['iso.to_beer'] * adsorptionFactor(doses.dry_hop, values);
  const term = (alpha: Float64Array, kept: number, cap: number, weight: number): BitterTerm => {
    const base = Math.min(kept, cap);
    return { alpha, base, cap: cap - base, weight, adsorbed: true };
  };
  const cold = term(
    of((e) => e.alphaDry),
    pools.alphaDry,
    dryCap,
    values['ibu.weight.alpha'],
  );
  return {
    atLeast,
    atMost,
    terms: [
      term(
        of((e) => e.alphaMash),
        pools.alphaMash,
        hotCap,
        iso.mash * left,
      ),
      term(
        of((e) => e.alphaSteep),
        pools.alphaSteep,
        hotCap,
        iso.hot_steep * left,
      ),
      { ...cold, adsorbed: false },
    ].filter((t) => t.weight > 0 && (t.base > 0 || t.alpha.some((a) => a > 0))),
    base: values['ibu.weight.humulinone'] * pools.humulinones,
    plain: of((e) => values['ibu.weight.humulinone'] * e.humulinones),
    adsorption: values['dry_hop.iso_adsorption'],
  };
}

function linearLimits(
  brief: Brief,
  offers: readonly Offer[],
  columns: Columns,
  kept: Kept,
): LinearLimit[] {
  const { limits, batch } = brief;
  const { uses, effects } = columns;
  const rows: LinearLimit[] = [];
  const add = (
    name: string,
    most: number | undefined,
    taken: number,
    coefOf: (use: Use, j: number) => number,
  ) => {
    if (most === undefined) return;
    rows.push({ name, most: most - taken, taken, coef: Float64Array.from(uses, coefOf) });
  };
  const costPerDose = (use: Use) => ((offers[use.lot]!.lot.pricePerKg ?? 0) / 1000) * batch.beer_l;
  add(
    'limits.leaf_g_per_l_after_mash_at_most',
    limits.leaf_g_per_l_after_mash_at_most,
    kept.leaf,
    (_, j) => effects[j]!.leaf,
  );
  add('limits.cost_at_most', limits.cost_at_most, kept.cost ?? 0, costPerDose);
  for (const stage of STAGES) {
    const most = limits.stage_at_most_g_per_l?.[stage];
    add(`limits.stage_at_most_g_per_l.${stage}`, most, kept.doses[stage], (use) =>
      use.stage === stage ? 1 : 0,
    );
  }
  const places = offers.map(() => 0);
  for (const { lot } of uses) places[lot]! += 1;
  offers.forEach(({ lot, candidate }, index) => {
    // A lot of one use is held by that use's largest dose.
    if (lot.gramsOnHand === null || places[index]! < 2) return;
    const free = freeGrams(lot, kept) / batch.beer_l;
    add(`grams_on_hand of ${candidate.hop}`, free, 0, (use) => (use.lot === index ? 1 : 0));
  });
  return [...rows, ...shareLimits(limits.share_at_most, columns, kept, batch.beer_l)];
}

/** No variety above its share, one row each: its dose - share * all doses <= 0, kept ones included. */
function shareLimits(
  share: number | undefined,
  { uses, varieties }: Columns,
  { additions, doses }: Kept,
  beerL: number,
): LinearLimit[] {
  if (share === undefined || share >= 1) return [];
  const total = STAGES.reduce((sum, stage) => sum + doses[stage], 0);
  const keys = varieties.map(nameKey);
  const all = new Set([...keys, ...additions.map((a) => nameKey(a.lot.hop))]);
  return [...all].map((key) => {
    const variety = keys.indexOf(key);
    const own = additions.filter((a) => nameKey(a.lot.hop) === key);
    const taken = own.reduce((sum, a) => sum + a.grams, 0) / beerL - share * total;
    const coef = Float64Array.from(uses, (u) => (u.variety === variety ? 1 - share : -share));
    return { name: SHARE_LIMIT, coef, most: -taken, taken };
  });
}

function objectiveOf(
  brief: Brief,
  offers: readonly Offer[],
  { uses, effects }: Columns,
): Float64Array {
  const { beer_l: beerL } = brief.batch;
  return Float64Array.from(uses, (use, j) => {
    if (brief.minimise === 'weight') return beerL;
    if (brief.minimise === 'leaf') return beerL * Math.max(effects[j]!.leaf, LEAST_LEAF);
    return (beerL * (offers[use.lot]!.lot.pricePerKg ?? 0)) / 1000;
  });
}

/** The lots of a brief: those on offer and those of kept additions. */
export interface Stated {
  readonly offers: readonly Offer[];
  readonly leftOut: readonly LeftOut[];
  readonly kept: readonly LotAddition[];
}

/** Ties the lots of a brief to their composition. Fails where lots or names are not known. */
export function statedOf(model: Model, brief: Brief): Outcome<Stated> {
  if (STAGES.every((s) => !brief.stages[s])) {
    return failure({
      path: 'stages',
      message: 'no stage is described, so hops can go in nowhere',
      cure: `Add one of stages.${STAGES.join(', stages.')}`,
    });
  }
  const found = offersOf(model, brief);
  if (!found.ok) return found;
  const kept = keptAdditions(model, brief);
  if (!kept.ok) return kept;
  return success({ ...found.value, kept: kept.value });
}

/** All lots of a brief, each once. */
export function lotsIn({ offers, kept }: Stated): Set<Lot> {
  return new Set([...offers.map((o) => o.lot), ...kept.map((a) => a.lot)]);
}

/**
 * States the problem of a brief at the central figures. Fails when nothing can be asked: no stage
 * described, lots nobody knows, required hops that are banned, missing or more than `hops_at_most`.
 */
export function problemOf(model: Model, brief: Brief): Outcome<BlendProblem> {
  const stated = statedOf(model, brief);
  if (!stated.ok) return stated;
  return problemIn(model, brief, stated.value, defaultWorld(model, lotsIn(stated.value)));
}

/** The same in another world: other compositions, thresholds or parameters. */
export function problemIn(
  model: Model,
  brief: Brief,
  stated: Stated,
  world: World,
): Outcome<BlendProblem> {
  const { batch, limits } = brief;
  const { offers } = stated;
  const { values } = world;
  const kept = keptIn(model, brief, stated.kept, world);
  const step = (limits.weigh_step_g ?? 0) / batch.beer_l;
  const asked = (limits.smallest_addition_g ?? 0) / batch.beer_l;
  const least = step > 0 ? Math.ceil(asked / step - 1e-9) * step : asked;
  const columns = columnsOf(model, brief, offers, kept, world, least, step);
  const { uses, varieties } = columns;
  const usesOf = varieties.map((_, v) => uses.flatMap((u, j) => (u.variety === v ? [j] : [])));
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
  const hopsAtMost = limits.hops_at_most ?? varieties.length;
  if (required.length > hopsAtMost) {
    return failure({
      path: 'limits.hops_at_most',
      message: `${required.length} hops are required, but only ${hopsAtMost} may be used`,
      cure: 'Raise limits.hops_at_most, or require fewer hops',
    });
  }
  const dry = Float64Array.from(uses, (u) => (u.stage === 'dry_hop' ? 1 : 0));
  const dryStageMost = limits.stage_at_most_g_per_l?.dry_hop ?? Infinity;
  const dryMost = uses.reduce((sum, u, j) => sum + dry[j]! * u.most, 0);
  return success({
    beerL: batch.beer_l,
    minimise: brief.minimise,
    values,
    offers,
    leftOut: [...stated.leftOut, ...columns.leftOut],
    uses,
    varieties,
    usesOf,
    kept,
    objective: objectiveOf(brief, offers, columns),
    dry,
    loadMax: Math.max(0, Math.min(dryMost, dryStageMost - kept.doses.dry_hop)),
    halfLoads: LOAD_GROUPS.map((g) => values[`dry_hop.half_load.${g}`] + kept.doses.dry_hop),
    axes: axisRows(model, brief, columns, kept, world),
    bitter: bitterRow(model, brief, columns, kept, world),
    limits: linearLimits(brief, offers, columns, kept),
    hopsAtMost,
    required,
    least,
    step,
  });
}

/** Least dose of a variety that is used, g/L; 0 where any dose will do. */
export function leastOf(problem: BlendProblem, variety: number): number {
  const least = Math.max(problem.least, problem.step);
  return least === 0 && problem.required.includes(variety) ? REQUIRED_G_PER_L : least;
}
