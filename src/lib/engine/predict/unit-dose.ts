// What 1 g of a lot at a stage brings into the beer, per litre of beer: the terms that a prediction adds up and
// the columns of the search. All of it is linear in grams; the total dry-hop load takes its share of the
// compounds afterwards.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { compoundSign } from '#engine/tables/names.ts';
import { alphaOf, contentOf, oilLeft } from '#engine/lot/content.ts';
import { lotName, reportedOf } from '#engine/lot/figures.ts';
import { humulinonesOf } from '#engine/lot/humulinones.ts';
import type { Process } from '#engine/process/process.ts';
import type { StageTerms } from '#engine/process/stage.ts';
import { acetylated, releasedOf } from '#engine/process/yeast.ts';
import {
  labelled,
  line,
  num,
  over,
  times,
  type Line,
  type Summand,
  type Term,
} from '#engine/symbols/term.ts';

export interface UnitDose {
  readonly lot: Lot;
  readonly stage: StageTerms;
  /** ug/g by compound index, before the loss by load; `null` where it brings none. */
  readonly compounds: readonly (Line | null)[];
  /**
   * Signal by axis that tasters report of the hop, L/g, before the loss by load; `null` where nothing is
   * reported.
   */
  readonly reported: readonly (Line | null)[];
  /** Alpha acids into the hot wort or the cold beer, mg/g; `null` where they are not known. */
  readonly alpha: Line | null;
  /** Humulinones into the beer, mg/g; `null` for hot stages, and where alpha acids are not known. */
  readonly humulinones: Line | null;
  /** Leaf left in wort or beer, g of type 90 per g; `null` where the stage holds all of it back. */
  readonly leaf: Term | null;
  /** Beer held back, L per g. */
  readonly lost: Term;
}

/** Share of a compound in the hop that a stage carries on, before yeast. */
function yieldLine(process: Process, stage: StageTerms, compound: CompoundId): Line {
  const key = `yield ${stage.use.key}|${stage.yieldKey(compound)}`;
  return process.once(key, () => {
    const { equation, term } = stage.yieldOf(compound);
    const name = `Yield of ${compoundSign(compound)} in the ${stage.where}`;
    return line(name, 'fraction', equation, term);
  });
}

/** Share of a compound of the hop that ends as the compound `to` in the beer, after stage and yeast. */
function carriedLine(
  process: Process,
  stage: StageTerms,
  compound: CompoundId,
  to: CompoundId,
  factors: () => readonly Term[],
): Line {
  return process.once(`carried ${stage.use.key} ${compound} ${to}`, () => {
    const passed = yieldLine(process, stage, compound);
    const more = factors();
    if (more.length === 0) return passed;
    const ends =
      compound === to ? compoundSign(to) : `${compoundSign(compound)} as ${compoundSign(to)}`;
    const name = `Carried on: ${ends}, ${stage.where} and yeast`;
    return line(name, 'fraction', 'fermentation', times(passed, ...more));
  });
}

/** By stage, the shares of compounds that reach the beer unchanged: every lot at the stage needs them. */
const freelyCarried = new WeakMap<StageTerms, Partial<Record<CompoundId, Line>>>();

/** Share of a compound of the hop that reaches the beer as the same compound. */
function freeCarried(process: Process, compound: CompoundId, stage: StageTerms): Line {
  let known = freelyCarried.get(stage);
  if (!known) freelyCarried.set(stage, (known = {}));
  return (known[compound] ??= freeCarriedLine(process, compound, stage));
}

function freeCarriedLine(process: Process, compound: CompoundId, stage: StageTerms): Line {
  const { yeast } = stage;
  return carriedLine(process, stage, compound, compound, () => [
    ...yeast.left(compound),
    ...(compound === 'sh3' && yeast.acetylates ? acetylated(process, 'sh3') : []),
  ]);
}

/** The ways by which a gram of a lot at a stage brings a compound (free, from a precursor), each as a part. */
function waysOf(process: Process, compound: CompoundId, lot: Lot, stage: StageTerms): Summand[] {
  const { yeast } = stage;
  const content = contentOf(process.inLots, lot, compound);
  const ways: Summand[] = content
    ? [{ label: 'Free', term: times(content, freeCarried(process, compound, stage)) }]
    : [];
  const geraniol = compound === 'citronellol' && contentOf(process.inLots, lot, 'geraniol');
  const reduced = yeast.citronellol;
  if (geraniol && reduced) {
    const { citronellol: to, geraniol: from } = process.model.compounds;
    const carried = carriedLine(process, stage, 'geraniol', compound, () => [
      ...reduced,
      over(num(to.molarMass), num(from.molarMass)),
    ]);
    ways.push({ label: 'From geraniol', term: times(geraniol, carried) });
  }
  const free = compound === 'sha3' && yeast.acetylates && contentOf(process.inLots, lot, 'sh3');
  if (free) {
    const carried = carriedLine(process, stage, 'sh3', compound, () => [
      ...yeast.left('sh3'),
      ...acetylated(process, 'sha3'),
    ]);
    ways.push({ label: 'From free 3SH', term: times(free, carried) });
  }
  if (compound === 'sh3' || compound === 'sha3') {
    const released = releasedOf(process, lot, stage);
    if (released) {
      const term = times(released, ...acetylated(process, compound));
      ways.push({ label: 'From bound 3SH', term });
    }
  }
  return ways;
}

function compoundLine(
  process: Process,
  compound: CompoundId,
  lot: Lot,
  stage: StageTerms,
): Line | null {
  const ways = waysOf(process, compound, lot, stage);
  if (ways.length === 0) return null;
  const name = `${compoundSign(compound)} that 1 g of ${lotName(lot)} brings by ${stage.where}`;
  const term = ways.length === 1 ? ways[0]!.term : labelled(ways);
  return line(name, 'µg/g', 'unit_dose', term);
}

/**
 * What tasters report is treated like this class of hop esters: stage, yeast, form and age take the same share
 * of it.
 */
export const REPORTED_AS = 'branched_isobutyrates' satisfies CompoundId;

/**
 * Signal on an axis that 1 g/L of the lot brings by what tasters report of its variety; `null` where nothing is
 * reported.
 */
function reportedLine(process: Process, axis: AxisId, lot: Lot, stage: StageTerms): Line | null {
  const reported = reportedOf(process.model, lot, axis);
  if (!reported) return null;
  const carried = freeCarried(process, REPORTED_AS, stage);
  const left = oilLeft(process.inLots, lot, REPORTED_AS);
  const form = process.parameter(`form.${lot.form}.concentration`);
  const term = times(reported, form, carried, ...(left ? [left] : []));
  const name = `${spoken(AXIS_NAMES[axis])} that tasters report of 1 g/L of ${lotName(lot)}, ${stage.where}`;
  return line(name, 'signal L/g', 'reported_dose', term);
}

function alphaLine(process: Process, lot: Lot, { alpha: path, where }: StageTerms): Line | null {
  const alpha = alphaOf(process.inLots, lot);
  if (!alpha) return null;
  const [name, equation] =
    path.kind === 'hot'
      ? ([`Alpha acids of 1 g of ${lotName(lot)} in the wort, ${where}`, 'iso_alpha'] as const)
      : ([`Alpha acids of 1 g of ${lotName(lot)} in the beer, ${where}`, 'dry_bitter'] as const);
  return line(name, 'mg/g', equation, times(alpha, ...path.factors));
}

/** Humulinones of 1 g that reach the beer (MAYE15); they are extracted with time as the alpha acids are. */
function humulinoneLine(process: Process, lot: Lot, stage: StageTerms): Line | null {
  if (stage.alpha.kind === 'hot' || !stage.extracted) return null;
  const content = humulinonesOf(process.inLots, lot);
  if (!content) return null;
  const term = times(content, process.parameter('dry_hop.humulinone_transfer'), stage.extracted);
  const name = `Humulinones of 1 g of ${lotName(lot)}, ${stage.where}`;
  return line(name, 'mg/g', 'dry_bitter', term);
}

/** What 1 g of the lot brings at the stage of that key. It depends on that stage alone. */
export function unitDose(of: Process, lot: Lot, stageKey: string): UnitDose {
  const process = of.ownerOf(stageKey);
  return process.onceOf(lot, `unit dose ${stageKey}`, () => {
    const stage = process.stage(stageKey);
    const leaf = process.parameter(`form.${lot.form}.leaf`);
    return {
      lot,
      stage,
      compounds: COMPOUNDS.map((compound) => compoundLine(process, compound, lot, stage)),
      reported: AXES.map((axis) => reportedLine(process, axis, lot, stage)),
      alpha: alphaLine(process, lot, stage),
      humulinones: humulinoneLine(process, lot, stage),
      leaf: stage.leavesLeaf ? leaf : null,
      lost: over(stage.loss(lot.form), num(1000)),
    };
  });
}
