// A brief read anew for the oracle, from the document and the engine alone: which lots at which stages, what a gram
// of each does, what fixed additions and malt bring, what every limit leaves. It uses nothing of the optimizer's own
// statement of the problem, so that an error there shows here.
import { AXES, COMPOUNDS, FORMS, type AxisId } from '#shared/ids.ts';
import { stageAt, stagesOf } from '#shared/stages/stages.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition, Candidate } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { LEAF_DRIVER, signalMatrix } from '#engine/predict/smell.ts';
import { nameKey } from '#shared/name-key.ts';
import { findHop, lotOf, missingForDesign, type Lot } from '#engine/lot/composition.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { unitDose, type UnitDose } from '#engine/predict/unit-dose.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import { processOf } from '#engine/process/process.ts';
import { valueOf } from '#engine/symbols/term.ts';
import { defaultValues, model } from '#engine/tables/model.ts';

const values = defaultValues(model);
const matrix = signalMatrix(model);
const groupOf = COMPOUNDS.map((c) => model.compounds[c].loadGroup);

/** What 1 g/L of a lot does at a stage, from the terms of that lot alone. */
export interface Effect {
  readonly compounds: readonly number[];
  /** Signal by axis index that tasters report. */
  readonly reported: readonly number[];
  readonly alpha: number;
  readonly humulinones: number;
  readonly leaf: number;
}

function effectOf({ compounds, reported, alpha, humulinones, leaf }: UnitDose): Effect {
  return {
    compounds: compounds.map((line) => line?.value ?? 0),
    reported: reported.map((line) => line?.value ?? 0),
    alpha: alpha?.value ?? 0,
    humulinones: humulinones?.value ?? 0,
    leaf: leaf ? valueOf(leaf) : 0,
  };
}

/** An addition: a lot at a stage, chosen or kept, and what 1 g/L of it does. */
export interface Place {
  readonly lot: Lot;
  readonly key: string;
  /** The key of the stage, and whether it is a dry hop. */
  readonly stage: string;
  readonly isDry: boolean;
  readonly effect: Effect;
}

export interface Choice extends Place {
  readonly candidate: Candidate;
  /** Index of the lot among those on offer. */
  readonly index: number;
  /** Most grams it may be. */
  readonly most: number;
  /** Objective per gram. */
  readonly worth: number;
}

export interface FixedPlace extends Place {
  readonly grams: number;
}

/** A lot that is bought in whole packages: grams in one, and what one costs of which all is left over. */
export interface Package {
  readonly index: number;
  readonly grams: number;
  readonly paid: number;
}

export interface Reading {
  readonly brief: Brief;
  readonly choices: readonly Choice[];
  readonly fixed: readonly FixedPlace[];
  readonly packages: readonly Package[];
  /** Grams of each lot on offer that are free; infinite where no stock is stated. */
  readonly free: readonly number[];
  /** Grams of dry hop that are kept. */
  readonly fixedDry: number;
  /** Least grams of an addition and the weighing step; 0 where there is none. */
  readonly least: number;
  readonly step: number;
  /** Objective of what is kept. */
  readonly base: number;
}

/** Leaf, g, a gram of mash hop counts as where leaf is minimised (as the brief's schema says). */
const MASH_LEAF = 0.001;

function sameProduct(a: Candidate | Addition, b: Candidate | Addition): boolean {
  const analysis = (x: Candidate | Addition) =>
    JSON.stringify(Object.entries(x.analysis ?? {}).sort());
  return nameKey(a.hop) === nameKey(b.hop) && a.form === b.form && analysis(a) === analysis(b);
}

function candidatesOf({ candidates }: Brief): readonly Candidate[] {
  if (candidates !== 'table') return candidates;
  return model.hops.flatMap((hop) =>
    FORMS.filter((f) => hop.forms.includes(f)).map((form) => ({ hop: hop.name, form })),
  );
}

function lotFor(spec: Candidate | Addition): Lot {
  const lot = lotOf(model, spec);
  if (!lot.ok) throw new Error(JSON.stringify(lot.problems));
  return lot.value;
}

/**
 * What a gram used costs beside the packages opened. A package is paid for but for what all of it would be worth
 * if it were left over; what is used of it is not left over and costs that much more.
 */
export function paidPerG({ batch }: Brief, { packageG, pricePerKg }: Lot): number {
  const price = pricePerKg! / 1000;
  return packageG === null ? price : ((batch.leftover_value_pct ?? 0) / 100) * price;
}

export function readingOf(brief: Brief): Reading {
  const { batch, stages, limits, minimise } = brief;
  const { beer_l: beerL } = batch;
  const process = processOf(model, batch, stages);
  const place = (lot: Lot, stage: string): Place => ({
    lot,
    key: nameKey(lot.hop),
    stage,
    isDry: stageAt(stages, stage)?.kind === 'dry_hop',
    effect: effectOf(unitDose(process, lot, stage)),
  });
  const fixed = (brief.keep ?? []).map((a): FixedPlace => ({
    ...place(lotFor(a), a.stage),
    grams: a.grams,
  }));
  const fixedAt = (stage: string) =>
    fixed.reduce((sum, k) => sum + (k.stage === stage ? k.grams : 0), 0);
  const worthOf = ({ lot, effect }: Place) => {
    if (minimise === 'weight' || minimise === 'closest') return 1;
    if (minimise === 'cost') return paidPerG(brief, lot);
    return Math.max(effect.leaf, MASH_LEAF);
  };
  const step = limits.weigh_step_g ?? 0;
  const smallest = limits.smallest_addition_g ?? 0;
  const least = step > 0 ? Math.ceil(smallest / step - 1e-9) * step : smallest;
  const banned = limits.ban.map((name) => nameKey(findHop(model, name)?.name ?? name));
  const priced = minimise === 'cost' || limits.cost_at_most !== undefined;
  const choices: Choice[] = [];
  const free: number[] = [];
  const packages: Package[] = [];
  for (const candidate of candidatesOf(brief)) {
    const lot = lotFor(candidate);
    if (missingForDesign(lot).length > 0 || banned.includes(nameKey(lot.hop))) continue;
    if (limits.forms && !limits.forms.includes(lot.form)) continue;
    if (priced && candidate.price_per_kg === undefined) continue;
    const taken = (brief.keep ?? []).reduce(
      (sum, a) => sum + (sameProduct(a, candidate) ? a.grams : 0),
      0,
    );
    const index = free.push((candidate.grams_on_hand ?? Infinity) - taken) - 1;
    const { package_g: size, price_per_kg: price } = candidate;
    if (priced && size !== undefined) {
      const unsold = 1 - (batch.leftover_value_pct ?? 0) / 100;
      packages.push({ index, grams: size, paid: unsold * (size / 1000) * price! });
    }
    for (const { key: stage } of stagesOf(stages)) {
      const forms = limits.stage_forms?.[stage];
      if (forms && !forms.includes(lot.form)) continue;
      const room = mostAt(brief, stage, fixedAt(stage)) - fixedAt(stage);
      const grams = Math.min(free[index]!, room, DOSE_G_PER_L_MAX * beerL);
      const most = step > 0 ? Math.floor(grams / step + 1e-9) * step : grams;
      if (most <= 0 || most < least - 1e-9) continue;
      const at = place(lot, stage);
      choices.push({ ...at, candidate, index, most, worth: worthOf(at) });
    }
  }
  const leaf = fixed.reduce((sum, k) => sum + k.grams * k.effect.leaf, 0);
  const base = fixed.reduce((sum, k) => sum + k.grams * (minimise === 'leaf' ? 0 : worthOf(k)), 0);
  return {
    brief,
    choices,
    fixed,
    packages,
    free,
    fixedDry: fixed.reduce((sum, k) => sum + (k.isDry ? k.grams : 0), 0),
    least,
    step,
    base: minimise === 'leaf' ? leaf : base,
  };
}

/** The most grams of a stage: as stated, else the usual dose, or what is kept if more. */
export function mostAt({ limits, batch, stages }: Brief, stage: string, fixed: number): number {
  const stated = limits.stage_at_most_g_per_l?.[stage];
  if (stated !== undefined) return stated * batch.beer_l;
  const isDry = stageAt(stages, stage)?.kind === 'dry_hop';
  const usual = values[isDry ? 'warn.dry_load_care' : 'warn.hot_dose'];
  return Math.max(usual * batch.beer_l, fixed);
}

/** Signal on an axis per g/L of something, at a total dry-hop load in g/L. */
export function signalPer({ isDry, effect }: Place, axis: AxisId, load: number): number {
  const weights = matrix[AXES.indexOf(axis)]!;
  const left = new Map(
    LOAD_GROUPS.map((g) => [g, shareAtLoad(load, values[`dry_hop.half_load.${g}`])]),
  );
  let signal = weights[LEAF_DRIVER]! * effect.leaf;
  const reported = effect.reported[AXES.indexOf(axis)]!;
  signal += reported * (isDry ? left.get('oxygenate')! : 1);
  effect.compounds.forEach((ug, i) => {
    signal += weights[i]! * ug * (isDry ? left.get(groupOf[i]!)! : 1);
  });
  return signal;
}

/** Signal on an axis of the malt alone. */
export function maltSignal({ batch, stages }: Brief, axis: AxisId): number {
  const weights = matrix[AXES.indexOf(axis)]!;
  const malt = predictPoint(model, { name: '', batch, stages, additions: [] }).compounds;
  return malt.reduce((sum, ug, i) => sum + weights[i]! * ug, 0);
}

/** A part of the bitterness: IBU per mg/L of alpha acids, which count up to a cap. */
export interface BitterPart {
  readonly alphaOf: (place: Place) => number;
  readonly cap: number;
  readonly weight: number;
}

/** The capped parts of the bitterness at a total dry-hop load in g/L. */
export function bitterParts({ batch, stages }: Brief, load: number): BitterPart[] {
  const process = processOf(model, batch, stages);
  const left = values['iso.to_beer'] * Math.exp(-values['dry_hop.iso_adsorption'] * load);
  const hot = values['iso.hot_alpha_cap'];
  return [
    ...process.stages.flatMap(({ use, alpha: path }) =>
      path.kind === 'cold'
        ? []
        : [
            {
              alphaOf: ({ stage, effect }: Place) => (stage === use.key ? effect.alpha : 0),
              cap: hot,
              weight: path.isomerized().value * left,
            },
          ],
    ),
    {
      alphaOf: ({ isDry, effect }) => (isDry ? effect.alpha : 0),
      cap:
        values['dry_hop.alpha_held'] *
        Math.exp(values['dry_hop.alpha_held_rise'] * warmestDryHop(stages)),
      weight: values['ibu.weight.alpha'],
    },
  ];
}

/** Temperature of the warmest dry hop, C; 0 where there is none. */
function warmestDryHop(stages: Brief['stages']): number {
  const temperatures = stagesOf(stages).flatMap((use) =>
    use.kind === 'dry_hop' ? [use.conditions.temp_c] : [],
  );
  return temperatures.length > 0 ? Math.max(...temperatures) : 0;
}

/** IBU per g/L that no cap bounds. */
export function plainBitterness({ humulinones }: Effect): number {
  return values['ibu.weight.humulinone'] * humulinones;
}

/** Chosen additions with the kept ones before them, as the engine takes them. */
export function scheduleOf({ fixed }: Reading, chosen: readonly LotAddition[]): LotAddition[] {
  return [...fixed.map(({ lot, stage, grams }) => ({ lot, stage, grams })), ...chosen];
}
