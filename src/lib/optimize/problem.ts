// The blend problem as mathematics, free of any solver: columns are uses (a lot at a stage) in grams
// per litre of beer, rows are wishes and limits. Everything is linear in the doses once the total
// dry-hop load D is fixed; the few things that depend on D are named here and nowhere else.
import { AXES, COMPOUNDS, STAGES, type AxisId, type FormId, type StageId } from '#shared/ids.ts';
import type { LeftOut } from '#shared/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { DOSE_G_PER_L_MAX, type Brief, type Minimise, type Wish } from '#shared/schemas/brief.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { LEAF_DRIVER, signalMatrix } from '#engine/aroma.ts';
import { nameKey } from '#engine/composition.ts';
import { centralValues, effectOf, maltEffect, processOf, type Effect } from '#engine/effect.ts';
import {
  defaultThresholds,
  defaultValues,
  type Model,
  type ParameterValues,
} from '#engine/model.ts';
import { isoFractionsOf } from '#engine/predict.ts';
import { offersOf, varietyKey, type Offer } from './candidates.ts';

/**
 * Least dose of a required hop where neither a smallest addition nor a weighing step says it, g/L:
 * 4 g in 40 L. A judgement: less would meet the word of the wish and not its sense.
 */
export const REQUIRED_G_PER_L = 0.1;

/** A column: one lot at one stage. */
export interface Use {
  readonly lot: number;
  readonly variety: number;
  readonly form: FormId;
  readonly stage: StageId;
  /** Largest dose, g/L: stage limit, stock, the largest dose taken at all; in whole steps. */
  readonly most: number;
}

/** Signal of an axis: base + direct.x + sum over load groups of loadFactor(D) (damped.x). */
export interface AxisRow {
  readonly axis: AxisId;
  readonly wish: Wish;
  /** Wished intensities; minus and plus infinity where one side is free. */
  readonly low: number;
  readonly high: number;
  /** What the malt brings. */
  readonly base: number;
  /** Signal per g/L of each use that the load does not change. */
  readonly direct: Float64Array;
  /** Signal per g/L before the load takes its share, by load group. */
  readonly damped: readonly Float64Array[];
}

/** A capped part of the bitterness: weight * min(alpha.x, cap). */
export interface BitterTerm {
  /** mg/L of alpha acids per g/L of each use. */
  readonly alpha: Float64Array;
  /** mg/L */
  readonly cap: number;
  /** IBU per mg/L */
  readonly weight: number;
  /** Whether the dry hop takes its exp(-a D) share. */
  readonly adsorbed: boolean;
}

/** IBU = sum of terms (adsorbed ones times exp(-adsorption D)) + plain.x */
export interface BitterRow {
  readonly atLeast: number | undefined;
  readonly atMost: number | undefined;
  readonly terms: readonly BitterTerm[];
  readonly plain: Float64Array;
  /** L/g */
  readonly adsorption: number;
}

/** A hard limit: coef.x <= most. */
export interface LinearLimit {
  /** Path in the brief, like `limits.cost_at_most`. */
  readonly name: string;
  readonly coef: Float64Array;
  readonly most: number;
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
  /** Objective per g/L: g, money or g of leaf for the whole batch. */
  readonly objective: Float64Array;
  /** 1 for dry-hop uses: their sum is the load D. */
  readonly dry: Float64Array;
  /** Largest load worth looking at, g/L. */
  readonly loadMax: number;
  /** Half-loads by load group, g/L. */
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
  least: number,
  step: number,
): Columns {
  const { batch, stages, limits } = brief;
  const process = processOf(model, batch, stages, defaultValues(model));
  const columns: Columns = { uses: [], effects: [], varieties: [], leftOut: [] };
  const varietyOf = new Map<string, number>();
  offers.forEach(({ lot }, index) => {
    const stock = (lot.gramsOnHand ?? Infinity) / batch.beer_l;
    if (stock < Math.max(least, step) * (1 - 1e-9)) {
      const reason = `${lot.gramsOnHand} g on hand is less than one addition may be`;
      columns.leftOut.push({ hop: lot.hop, reason });
      return;
    }
    const central = centralValues(lot);
    for (const stage of STAGES) {
      if (!stages[stage]) continue;
      const stageMost = limits.stage_at_most_g_per_l?.[stage] ?? DOSE_G_PER_L_MAX;
      const dose = Math.min(DOSE_G_PER_L_MAX, stageMost, stock);
      const most = step > 0 ? stepsIn(dose, step) * step : dose;
      if (most <= 0 || most < least * (1 - 1e-9)) continue;
      const key = nameKey(lot.hop);
      if (!varietyOf.has(key)) varietyOf.set(key, columns.varieties.push(lot.hop) - 1);
      columns.uses.push({ lot: index, variety: varietyOf.get(key)!, form: lot.form, stage, most });
      columns.effects.push(effectOf(central, stage, process));
    }
  });
  return columns;
}

function axisRows(model: Model, brief: Brief, { uses, effects }: Columns): AxisRow[] {
  const values = defaultValues(model);
  const matrix = signalMatrix(model, defaultThresholds(model), values);
  const malt = maltEffect(processOf(model, brief.batch, brief.stages, values));
  const groups = COMPOUNDS.map((c) => LOAD_GROUPS.indexOf(model.compounds[c].loadGroup));
  return AXES.flatMap((axis, row) => {
    const wish = brief.target[axis];
    if (!wish) return [];
    const weights = matrix[row]!;
    const direct = new Float64Array(uses.length);
    const damped = LOAD_GROUPS.map(() => new Float64Array(uses.length));
    uses.forEach(({ stage }, j) => {
      const { compounds, leaf } = effects[j]!;
      direct[j]! += weights[LEAF_DRIVER]! * leaf;
      compounds.forEach((ug, i) => {
        const into = stage === 'dry_hop' ? damped[groups[i]!]! : direct;
        into[j]! += weights[i]! * ug;
      });
    });
    const base = malt.reduce((sum, ug, i) => sum + weights[i]! * ug, 0);
    return [{ axis, wish, ...windowOf(wish), base, direct, damped }];
  });
}

function bitterRow(model: Model, brief: Brief, { effects }: Columns): BitterRow | null {
  const { ibu_at_least: atLeast, ibu_at_most: atMost } = brief.limits;
  if (atLeast === undefined && atMost === undefined) return null;
  const values = defaultValues(model);
  const iso = isoFractionsOf(processOf(model, brief.batch, brief.stages, values));
  const of = (pick: (e: Effect) => number) => Float64Array.from(effects, pick);
  const hot = { cap: values['iso.hot_alpha_cap'], adsorbed: true };
  const toBeer = values['iso.to_beer'];
  return {
    atLeast,
    atMost,
    terms: [
      { alpha: of((e) => e.alphaMash), weight: iso.mash * toBeer, ...hot },
      { alpha: of((e) => e.alphaSteep), weight: iso.hot_steep * toBeer, ...hot },
      {
        alpha: of((e) => e.alphaDry),
        weight: values['ibu.weight.alpha'],
        cap: values['dry_hop.alpha_cap'],
        adsorbed: false,
      },
    ].filter((t) => t.weight > 0 && t.alpha.some((a) => a > 0)),
    plain: of((e) => values['ibu.weight.humulinone'] * e.humulinones),
    adsorption: values['dry_hop.iso_adsorption'],
  };
}

function linearLimits(brief: Brief, offers: readonly Offer[], columns: Columns): LinearLimit[] {
  const { limits, batch } = brief;
  const { uses, effects } = columns;
  const rows: LinearLimit[] = [];
  const add = (name: string, most: number | undefined, coefOf: (use: Use, j: number) => number) => {
    if (most === undefined) return;
    rows.push({ name, most, coef: Float64Array.from(uses, coefOf) });
  };
  const costPerDose = (use: Use) => ((offers[use.lot]!.lot.pricePerKg ?? 0) / 1000) * batch.beer_l;
  add(
    'limits.leaf_g_per_l_after_mash_at_most',
    limits.leaf_g_per_l_after_mash_at_most,
    (_, j) => effects[j]!.leaf,
  );
  add('limits.cost_at_most', limits.cost_at_most, costPerDose);
  for (const stage of STAGES) {
    add(`limits.stage_at_most_g_per_l.${stage}`, limits.stage_at_most_g_per_l?.[stage], (use) =>
      use.stage === stage ? 1 : 0,
    );
  }
  offers.forEach(({ lot, candidate }, index) => {
    if (lot.gramsOnHand === null || uses.filter((u) => u.lot === index).length < 2) return;
    add(`grams_on_hand of ${candidate.hop}`, lot.gramsOnHand / batch.beer_l, (use) =>
      use.lot === index ? 1 : 0,
    );
  });
  return rows;
}

function objectiveOf(
  brief: Brief,
  offers: readonly Offer[],
  { uses, effects }: Columns,
): Float64Array {
  const { beer_l: beerL } = brief.batch;
  return Float64Array.from(uses, (use, j) => {
    if (brief.minimise === 'weight') return beerL;
    if (brief.minimise === 'leaf') return beerL * effects[j]!.leaf;
    return (beerL * (offers[use.lot]!.lot.pricePerKg ?? 0)) / 1000;
  });
}

/**
 * States the problem of a brief. Fails when nothing can be asked: no stage described, lots nobody
 * knows, required hops that are banned, missing or more than `hops_at_most`.
 */
export function problemOf(model: Model, brief: Brief): Outcome<BlendProblem> {
  const { batch, stages, limits } = brief;
  if (STAGES.every((s) => !stages[s])) {
    return failure({
      path: 'stages',
      message: 'no stage is described, so hops can go in nowhere',
      cure: `Add one of stages.${STAGES.join(', stages.')}`,
    });
  }
  const found = offersOf(model, brief);
  if (!found.ok) return found;
  const { offers } = found.value;
  const step = (limits.weigh_step_g ?? 0) / batch.beer_l;
  const asked = (limits.smallest_addition_g ?? 0) / batch.beer_l;
  const least = step > 0 ? Math.ceil(asked / step - 1e-9) * step : asked;
  const columns = columnsOf(model, brief, offers, least, step);
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
  const values = defaultValues(model);
  const dry = Float64Array.from(uses, (u) => (u.stage === 'dry_hop' ? 1 : 0));
  const dryMost = uses.reduce((sum, u, j) => sum + dry[j]! * u.most, 0);
  return success({
    beerL: batch.beer_l,
    minimise: brief.minimise,
    values,
    offers,
    leftOut: [...found.value.leftOut, ...columns.leftOut],
    uses,
    varieties,
    usesOf,
    objective: objectiveOf(brief, offers, columns),
    dry,
    loadMax: Math.min(dryMost, limits.stage_at_most_g_per_l?.dry_hop ?? dryMost),
    halfLoads: LOAD_GROUPS.map((g) => values[`dry_hop.half_load.${g}`]),
    axes: axisRows(model, brief, columns),
    bitter: bitterRow(model, brief, columns),
    limits: linearLimits(brief, offers, columns),
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
