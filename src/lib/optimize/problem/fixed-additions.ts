// What the additions bring that a brief keeps as they are: constants of the problem, at the defaults.
// They count in every limit on the whole beer; the search only chooses what comes on top.
import { ANALYTES, AXES, COMPOUNDS } from '#shared/ids.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Grams, GramsPerLitre, MilligramsPerLitre } from '#shared/units.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { designFor, type LotAddition } from '#engine/predict/design.ts';
import { effectsAt } from '#engine/predict/effects.ts';
import type { Model } from '#engine/tables/model.ts';
import { costOf } from '#engine/predict/purchases.ts';
import type { Process } from '#engine/process/process.ts';
import type { World } from '#engine/symbols/world.ts';

export interface FixedAdditions {
  readonly additions: readonly LotAddition[];
  /** g/L by the key of the stage. */
  readonly doses: ReadonlyMap<string, GramsPerLitre>;
  /** Dry-hop load, g/L: what goes in at all stages that load. */
  readonly load: GramsPerLitre;
  /** ug/L by compound index, from the hot stages. */
  readonly direct: Float64Array;
  /** ug/L by compound index from dry hops, before the load takes its share. */
  readonly damped: Float64Array;
  /** Signal by axis index that tasters report, likewise of the hot stages and of dry hops. */
  readonly reported: { readonly direct: Float64Array; readonly damped: Float64Array };
  /** Alpha acids on their path by the key of the stage, mg/L. */
  readonly alpha: ReadonlyMap<string, MilligramsPerLitre>;
  /** Humulinones into the beer, mg/L. */
  readonly humulinones: MilligramsPerLitre;
  /** Leaf after the mash, g/L. */
  readonly leaf: GramsPerLitre;
  /** `null` where one has no price. */
  readonly cost: number | null;
}

/**
 * The fixed additions of a brief. Fails where one cannot be predicted, or has no price while the
 * whole cost is limited.
 */
export function fixedAdditionsOf(model: Model, brief: Brief): Outcome<readonly LotAddition[]> {
  const { keep = [], limits } = brief;
  const designed = designFor(model, brief, keep);
  if (!designed.ok) {
    const inKeep = (path: string) => path.replace(/^additions/, 'keep');
    return failure(...designed.problems.map((p) => ({ ...p, path: inKeep(p.path) })));
  }
  const additions = designed.value.additions.filter((a) => a.grams > 0);
  const unpriced = designed.value.additions.findIndex(
    ({ grams, lot }) => grams > 0 && lot.pricePerKg === null,
  );
  if (unpriced >= 0 && limits.cost_at_most !== undefined) {
    return failure({
      path: `keep[${unpriced}].price_per_kg`,
      message: 'it has no price, and limits.cost_at_most counts the whole cost',
      cure: 'Give the price, or take limits.cost_at_most out',
    });
  }
  return success(additions);
}

/** What fixed additions bring, with the lots as they are in a drawn world. */
export function fixedIn(
  process: Process,
  { batch }: Brief,
  additions: readonly LotAddition[],
  world: World,
): FixedAdditions {
  const doses = new Map<string, GramsPerLitre>();
  const alpha = new Map<string, MilligramsPerLitre>();
  const add = (to: Map<string, number>, key: string, more: number) =>
    to.set(key, (to.get(key) ?? 0) + more);
  const direct = new Float64Array(COMPOUNDS.length);
  const damped = new Float64Array(COMPOUNDS.length);
  const reported = {
    direct: new Float64Array(AXES.length),
    damped: new Float64Array(AXES.length),
  };
  let load = 0;
  let leaf = 0;
  let humulinones = 0;
  for (const { lot, stage, grams } of additions) {
    const dose = grams / batch.beer_l;
    const [effect] = effectsAt(process, [lot], stage, world);
    const { loads } = process.stage(stage);
    const into = loads ? damped : direct;
    effect!.compounds.forEach((ug, i) => (into[i]! += dose * ug));
    const noted = loads ? reported.damped : reported.direct;
    effect!.reported.forEach((signal, i) => (noted[i]! += dose * signal));
    add(doses, stage, dose);
    add(alpha, stage, dose * effect!.alpha);
    if (loads) load += dose;
    humulinones += dose * effect!.humulinones;
    leaf += dose * effect!.leaf;
  }
  const cost = costOf({ batch, additions });
  return { additions, doses, load, direct, damped, reported, alpha, humulinones, leaf, cost };
}

/** The lots of the same content as this one, by number. Most differ in a figure that is quick to compare. */
function alikeTo(named: Lot, lots: readonly Lot[]): number[] {
  const text = JSON.stringify(named.figures);
  const differ = (lot: Lot) =>
    ANALYTES.some((analyte) => lot.figures[analyte]?.central !== named.figures[analyte]?.central);
  return lots.flatMap((lot, i) => {
    if (lot.hop !== named.hop || lot.form !== named.form || differ(lot)) return [];
    return JSON.stringify(lot.figures) === text ? [i] : [];
  });
}

function sameKeeping(a: Lot, b: Lot): boolean {
  return (
    a.pricePerKg === b.pricePerKg &&
    a.packageG === b.packageG &&
    JSON.stringify(a.storage) === JSON.stringify(b.storage)
  );
}

/**
 * Grams of each lot that no fixed addition needs; infinite where no stock is stated. A fixed addition is
 * taken once: from the lot it names, else from lots of the same content, one after the other.
 */
export function freeStock(
  lots: readonly Lot[],
  { additions }: Pick<FixedAdditions, 'additions'>,
): Grams[] {
  const free = lots.map((lot) => lot.gramsOnHand ?? Infinity);
  for (const { lot: named, grams } of additions) {
    const same = alikeTo(named, lots);
    const rank = (i: number) => (sameKeeping(lots[i]!, named) ? 0 : 1);
    let left = grams;
    for (const i of same.sort((a, b) => rank(a) - rank(b))) {
      const taken = Math.min(left, free[i]!);
      left -= taken;
      if (free[i]! < Infinity) free[i]! -= taken;
    }
  }
  return free;
}

/** All that is kept, g/L. */
export function fixedDose({ doses }: Pick<FixedAdditions, 'doses'>): GramsPerLitre {
  return [...doses.values()].reduce((sum, dose) => sum + dose, 0);
}

/** Grams, money or grams of leaf of the fixed additions; 0 money where prices are not known. */
export function fixedObjective(fixed: FixedAdditions, brief: Brief): number {
  const { beer_l: beerL } = brief.batch;
  if (brief.minimise === 'leaf') return fixed.leaf * beerL;
  if (brief.minimise === 'cost') return fixed.cost ?? 0;
  return fixedDose(fixed) * beerL;
}
