// From words of tasters to a signal of a variety's own on each axis: a regularised fit. The target of an
// axis is what a note named so often and so early smells like at a stated dose; what compounds of the
// table explain of it is taken off, so that nothing counts twice; the rest, never below zero, is the
// reported signal of 1 g/L. Its range is wider the fewer and the lesser the witnesses.
import { group } from 'd3';
import { AXES, analyteOf, isThiol, type AxisId } from '#shared/ids.ts';
import { scaleIn, signalOn } from '#shared/scale.ts';
import type { AxisWeight, Cell, Compound, Hop } from '#shared/schemas/tables.ts';
import { rounded } from '#shared/tables/cells.ts';
import { EUROPE } from './estimate.ts';
import type { SensoryRow, WordRow } from '#shared/tables/rows.ts';

/**
 * How far a kind of witness is trusted, 0 to 1: a judgement of this project. What is recalled twice comes
 * from the same memory, so all such lists together are one witness.
 */
const TRUST = { panel: 1, handbook: 0.8, breeder: 0.65, memory: 0.5 } as const;
/** Weight of each further word in a list that has an order: what comes first is smelled first. */
const LATER = 0.9;
/** Weight of a word where the list has no order. */
const UNORDERED = 0.8;
/** How firmly one word alone stands for its axis; more words of one axis add to it. */
const ONE_WORD = 0.75;
/** Number of words from which on a witness has described a variety in full. */
const FULL_LIST = 4;
/**
 * For a variety that nobody described: the share taken of what is usual where it was bred, and how wide its range is.
 */
const USUAL = { part: 0.5, fold: 6 } as const;

/** How firmly a variety is said to smell of an axis, 0 to 1. */
export interface Strength {
  readonly of: Readonly<Record<AxisId, number>>;
  /** Trust in all witnesses together. */
  readonly trust: number;
  readonly sources: Readonly<Record<AxisId, readonly string[]>>;
}

type FitValues = Readonly<Record<string, number>>;

/** The figures of the fit by the ids of their rows in parameters.csv. */
const dosedAt = (v: FitValues) =>
  v['reported.dose']! / (1 + v['reported.dose']! / v['dry_hop.half_load.oxygenate']!);

/** What the witnesses of each variety say, by its name. */
export function strengths(
  rows: readonly SensoryRow[],
  words: readonly WordRow[],
  doubt: number,
): Map<string, Strength> {
  const axisOf = new Map(words.map(({ word, axis }) => [word, axis]));
  const result = new Map<string, Strength>();
  for (const [variety, own] of group(rows, (row) => row.variety)) {
    const said = Object.fromEntries(AXES.map((axis) => [axis, 0])) as Record<AxisId, number>;
    const sources = Object.fromEntries(AXES.map((axis) => [axis, []])) as unknown as Record<
      AxisId,
      string[]
    >;
    let trust = 0;
    const recalls = new Set(own.filter((row) => row.kind === 'memory').map((row) => row.source_id));
    for (const [source, list] of group(own, (row) => row.source_id)) {
      const kind = list[0]!.kind;
      const ordered = kind === 'handbook' || kind === 'memory';
      const unsaid = new Map<AxisId, number>();
      list.forEach(({ word }, place) => {
        const axis = axisOf.get(word);
        if (axis === undefined || axis === '') return;
        const speaks = ONE_WORD * (ordered ? LATER ** place : UNORDERED);
        unsaid.set(axis, (unsaid.get(axis) ?? 1) * (1 - speaks));
      });
      const lists = kind === 'memory' ? recalls.size : 1;
      const weight = (TRUST[kind] * Math.min(1, list.length / FULL_LIST)) / lists;
      trust += weight;
      for (const [axis, left] of unsaid) {
        said[axis] += weight * (1 - left);
        sources[axis].push(source);
      }
    }
    for (const axis of AXES) said[axis] /= trust + doubt;
    result.set(variety, { of: said, trust, sources });
  }
  return result;
}

/** The target on an axis, as a signal at the stated dose; 0 where the note is not named. */
export function targetSignal(strength: number, values: FitValues): number {
  if (strength <= 0) return 0;
  const { 'reported.least': least, 'reported.lead': lead, 'reported.bend': bend } = values;
  return signalOn(scaleIn(values), least! + (lead! - least!) * strength ** bend!);
}

/** Signal that the compounds of 1 g/L bring to an axis in a dry hop of little load. */
export function explained(
  axis: AxisId,
  cells: Hop['cells'],
  weights: readonly AxisWeight[],
  compounds: readonly Compound[],
  values: FitValues,
): number {
  const oil = cells.total_oil_ml_per_100g?.central ?? 0;
  let signal = 0;
  for (const { driver, axis: of, weight } of weights) {
    const compound = compounds.find(({ id }) => id === driver);
    if (of !== axis || !compound?.threshold) continue;
    const share = cells[analyteOf(compound.id)]?.central ?? 0;
    const content = isThiol(compound.id)
      ? share / 1000
      : oil * values['oil.density']! * 100 * share;
    const carried = values[`dry_hop.yield.${compound.transferClass}`]!;
    signal += (weight * content * carried) / compound.threshold.central;
  }
  return signal * values[`aroma.gain.${axis}`]!;
}

/** Everything the fit of one variety reads besides what is said of it. */
export interface FitInput {
  readonly weights: readonly AxisWeight[];
  readonly compounds: readonly Compound[];
  readonly values: FitValues;
}

/** The reported signals of a variety, in signal per g/L of type 90. */
export function fitted(
  strength: Strength,
  cells: Hop['cells'],
  { weights, compounds, values }: FitInput,
  how: { readonly fold: number; readonly status: 'reported' | 'estimated' },
): Partial<Record<AxisId, Cell>> {
  const reported: Partial<Record<AxisId, Cell>> = {};
  for (const axis of AXES) {
    const target = targetSignal(strength.of[axis], values) / dosedAt(values);
    const rest = target - explained(axis, cells, weights, compounds, values);
    if (rest <= 0) continue;
    const central = rest / values['dry_hop.yield.ester']!;
    reported[axis] = {
      low: rounded(central / how.fold),
      central: rounded(central),
      high: rounded(central * how.fold),
      status: how.status,
      sources: [...new Set([...strength.sources[axis], 'CALC'])].sort(),
    };
  }
  return reported;
}

/** How wide the reported signals are, as a factor each way. */
export function foldOf({ trust }: Strength, values: FitValues): number {
  return values['reported.fold']! ** (1 / (1 + trust)) * values['reported.fold_least']!;
}

/** What is usual of the varieties bred in Europe, or elsewhere: for one nobody described. */
export function usualOf(
  described: ReadonlyMap<string, Strength>,
  origins: ReadonlyMap<string, string>,
): (origin: string) => Strength {
  const inEurope = (origin: string) => EUROPE.includes(origin.slice(0, 2));
  const usual = [true, false].map((europe): Strength => {
    const members = [...described].filter(([name]) => inEurope(origins.get(name) ?? '') === europe);
    const of = Object.fromEntries(
      AXES.map((axis) => {
        const sum = members.reduce((all, [, strength]) => all + strength.of[axis], 0);
        return [axis, (USUAL.part * sum) / Math.max(1, members.length)];
      }),
    ) as Record<AxisId, number>;
    const none = Object.fromEntries(
      AXES.map((axis) => [axis, []]),
    ) as unknown as Strength['sources'];
    return { of, trust: 0, sources: none };
  });
  return (origin) => usual[inEurope(origin) ? 0 : 1]!;
}

/** The reported signals of every variety, by its name. */
export function reportedOf(
  rows: readonly SensoryRow[],
  words: readonly WordRow[],
  varieties: readonly {
    readonly name: string;
    readonly origin: string;
    readonly cells: Hop['cells'];
  }[],
  ground: FitInput,
): Map<string, Partial<Record<AxisId, Cell>>> {
  const described = strengths(rows, words, ground.values['reported.doubt']!);
  const usual = usualOf(described, new Map(varieties.map(({ name, origin }) => [name, origin])));
  return new Map(
    varieties.map(({ name, origin, cells }) => {
      const own = described.get(name);
      const how = own
        ? ({ fold: foldOf(own, ground.values), status: 'reported' } as const)
        : ({ fold: USUAL.fold, status: 'estimated' } as const);
      return [name, fitted(own ?? usual(origin), cells, ground, how)];
    }),
  );
}
