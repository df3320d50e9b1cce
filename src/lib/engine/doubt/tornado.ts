// Which unknowns move a blend most: each is moved alone to its 10 and its 90 % point, the rest stay at their
// defaults; with it the share of the band's variance that is its own. What a lab could measure in the lots is
// kept apart from what only research could settle, and the bands that would remain show what each is worth.
import { ANALYTES, AXES, COMPOUNDS, type AnalyteId, type AxisId } from '#shared/ids.ts';
import type { Band } from '#shared/answers/prediction.ts';
import type { AxisDoubt, Doubt, LotDoubt, Swing } from '#shared/answers/doubt.ts';
import type { Interval } from '#shared/interval.ts';
import type { Lot, LotFigure } from '#engine/lot/composition.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import { CYS_SHARE, reportedName, SH3_BY_CLASS } from '#engine/lot/figures.ts';
import type { Design } from '#engine/predict/design.ts';
import { lotsOf, predictPoint } from '#engine/predict/predict.ts';
import { weightRange } from '#engine/symbols/rows.ts';
import { PARAMETERS, THRESHOLDS, WEIGHTS, type Input } from '#engine/symbols/term.ts';
import { spread, type World } from '#engine/symbols/world.ts';
import {
  bandOf,
  DEFAULT_SAMPLING,
  drawnWorld,
  lotDrawsOf,
  sampleDesign,
  sampleIn,
  type Sample,
} from './bands.ts';
import { drawLot, figureValues, lotNames, type LotDraws } from './lot-sampling.ts';
import { atOnce, type Parts } from './parts.ts';
import { parameterAt, scienceOf, type Sampling } from './sampling.ts';
import { Z90 } from './scores.ts';

/**
 * Number of groups into which draws are sorted by the rank of an unknown; the variance between groups is its
 * own part.
 */
const RANK_GROUPS = 10;
/** Smallest move of an axis that is listed, in intensity: far below what anyone can notice. */
const LEAST_MOVE = 0.001;

/** An unknown with its values at its two points and in every draw. */
interface Unknown {
  readonly of: Pick<Swing, 'kind' | 'id' | 'hop' | 'form' | 'settled_by'>;
  /** The inputs that it sets in a world: the same figure of each lot of a variety. */
  readonly inputs: readonly Input[];
  readonly ends: readonly [number, number];
  readonly draws: Float64Array;
}

/** Whether a parameter is drawn for each lot: it then counts as a figure of the lot. */
function isOfLots(id: string): boolean {
  return id.startsWith('precursor.g_sh3.') || id === 'precursor.cys_share';
}

const endsOf = (range: Interval) => [parameterAt(range, 0.1), parameterAt(range, 0.9)] as const;

function scienceUnknowns(model: Model, sampling: Sampling): Unknown[] {
  const { parameters, thresholds, weights } = scienceOf(model, sampling);
  const of = { hop: null, form: null, settled_by: 'science' } as const;
  const process = (Object.keys(model.parameters) as ParameterId[])
    .filter((id) => !model.parameters[id].fixed && !isOfLots(id))
    .map((id): Unknown => ({
      of: { kind: 'parameter', id, ...of },
      inputs: [{ of: PARAMETERS, name: id }],
      ends: endsOf(model.parameters[id]),
      draws: spread(parameters[id], sampling.samples),
    }));
  const smells = COMPOUNDS.flatMap((c): Unknown[] => {
    const { threshold } = model.compounds[c];
    if (!threshold) return [];
    const inputs = [{ of: THRESHOLDS, name: c }];
    const ends = endsOf(threshold);
    return [{ of: { kind: 'threshold', id: c, ...of }, inputs, ends, draws: thresholds[c]! }];
  });
  const counted = model.weights.map((row): Unknown => {
    const { axis, driver } = row;
    const name = `${axis} ${driver}`;
    return {
      of: { kind: 'weight', id: `${axis}/${driver}`, ...of },
      inputs: [{ of: WEIGHTS, name }],
      ends: endsOf(weightRange(row)),
      draws: weights[name]!,
    };
  });
  return [...process, ...smells, ...counted];
}

/** What tasters report of the varieties of a design: one unknown for each axis, whatever the lots. */
function reportedUnknowns(model: Model, drawn: ReadonlyMap<Lot, LotDraws>): Unknown[] {
  if (!model.reports) return [];
  const byHop = new Map<string, Lot[]>();
  for (const lot of drawn.keys()) byHop.set(lot.hop, [...(byHop.get(lot.hop) ?? []), lot]);
  return [...byHop].flatMap(([hop, lots]) =>
    AXES.flatMap((axis): Unknown[] => {
      const range = lots[0]!.reported[axis];
      if (!range) return [];
      const name = reportedName(axis);
      return [
        {
          of: { kind: 'reported', id: axis, hop, form: null, settled_by: 'science' },
          inputs: lots.map((lot) => ({ of: lot, name })),
          ends: endsOf(range),
          draws: drawn.get(lots[0]!)!.get(name)!,
        },
      ];
    }),
  );
}

function lotUnknowns(model: Model, lot: Lot, draws: LotDraws): Unknown[] {
  const unknown = (id: AnalyteId, name: string, ends: readonly [number, number]): Unknown => ({
    of: { kind: 'lot', id, hop: lot.hop, form: lot.form, settled_by: 'lab' },
    inputs: [{ of: lot, name }],
    ends,
    draws: draws.get(name)!,
  });
  const scores = Float64Array.of(-Z90, Z90);
  const known = ANALYTES.flatMap((id) => {
    const figure = lot.figures[id];
    if (!figure || !draws.has(id)) return [];
    const [low, high] = figureValues(figure, scores);
    return [unknown(id, id, [low!, high!])];
  });
  const { parameters } = model;
  if (!lot.figures.g_sh3_mg_per_kg) {
    const ends = endsOf(parameters[`precursor.g_sh3.${lot.tendency}`]);
    known.push(unknown('g_sh3_mg_per_kg', SH3_BY_CLASS, ends));
  }
  if (!lot.figures.cys_sh3_mg_per_kg) {
    const of = unknown('cys_sh3_mg_per_kg', CYS_SHARE, endsOf(parameters['precursor.cys_share']));
    // A lab would measure the content, which includes the share.
    const bound = draws.get('g_sh3_mg_per_kg') ?? draws.get(SH3_BY_CLASS)!;
    known.push({ ...of, draws: of.draws.map((share, k) => share * bound[k]!) });
  }
  return known;
}

/**
 * The intensities of a design with each unknown alone at its two points: all in one run, with two worlds for
 * each unknown.
 */
function atEnds(
  model: Model,
  design: Design,
  unknowns: readonly Unknown[],
): readonly Float64Array[] {
  const count = 2 * unknowns.length;
  const places = new Map<object, Map<string, number>>();
  unknowns.forEach(({ inputs }, u) => {
    for (const { of, name } of inputs) {
      const names = places.get(of) ?? new Map<string, number>();
      places.set(of, names.set(name, u));
    }
  });
  const world: World = {
    count,
    valuesOf: ({ of, name }, central) => {
      const place = places.get(of)?.get(name);
      if (place === undefined) return undefined;
      const values = new Float64Array(count).fill(central);
      values.set(unknowns[place]!.ends, 2 * place);
      return values;
    },
  };
  return sampleIn(model, design, world).intensities;
}

/**
 * Share of the variance of `outcome` that goes with the rank of one unknown alone (first order), 0 to 1: the
 * variance between groups of draws of similar rank, less what chance alone puts between them.
 */
export function ownShare(draws: Float64Array, outcome: Float64Array): number {
  const n = outcome.length;
  const order = Array.from(draws, (_, k) => k).sort((a, b) => draws[a]! - draws[b]!);
  const mean = outcome.reduce((s, y) => s + y, 0) / n;
  let whole = 0;
  for (const y of outcome) whole += (y - mean) ** 2;
  if (whole === 0) return 0;
  let between = 0;
  for (let g = 0; g < RANK_GROUPS; g += 1) {
    const from = Math.floor((g * n) / RANK_GROUPS);
    const to = Math.floor(((g + 1) * n) / RANK_GROUPS);
    let sum = 0;
    for (let i = from; i < to; i += 1) sum += outcome[order[i]!]!;
    between += (to - from) * (sum / (to - from) - mean) ** 2;
  }
  const chance = ((whole - between) * (RANK_GROUPS - 1)) / (n - RANK_GROUPS);
  return Math.max(0, (between - chance) / whole);
}

/** The draws of a lot as it would be known after a full analysis. */
function analysedDraws(model: Model, lot: Lot, name: string, sampling: Sampling): LotDraws {
  const share = model.parameters['spread.analysis'].central;
  const about = (central: number, figure: Omit<LotFigure, keyof Interval>): LotFigure => ({
    ...figure,
    low: central * (1 - share),
    central,
    high: central * (1 + share),
    status: 'analysis',
  });
  const figures: Partial<Record<AnalyteId, LotFigure>> = {};
  for (const id of ANALYTES) {
    const figure = lot.figures[id];
    if (figure) figures[id] = about(figure.central, figure);
  }
  const plain = { status: 'analysis', sources: [], perProduct: false } as const;
  const bound = model.parameters[`precursor.g_sh3.${lot.tendency}`].central;
  figures.g_sh3_mg_per_kg ??= about(bound, plain);
  const { perProduct, central } = figures.g_sh3_mg_per_kg;
  const cys = central * model.parameters['precursor.cys_share'].central;
  figures.cys_sh3_mg_per_kg ??= about(cys, { ...plain, perProduct });
  const draws = new Map(drawLot(model, { ...lot, figures }, name, sampling));
  // Where the lot has no figure of its own, its terms read the class and the share.
  const g = draws.get('g_sh3_mg_per_kg')!;
  draws.set(SH3_BY_CLASS, g);
  draws.set(
    CYS_SHARE,
    draws.get('cys_sh3_mg_per_kg')!.map((content, k) => content / g[k]!),
  );
  return draws;
}

/** The sample of a design in which some lots are analysed and the others are as before. */
function sampleAnalysed(
  model: Model,
  design: Design,
  chosen: readonly Lot[],
  drawn: ReadonlyMap<Lot, LotDraws>,
  sampling: Sampling,
): Sample {
  const names = lotNames(design.additions.map((a) => a.lot));
  const lots = new Map<object, LotDraws>(drawn);
  for (const lot of chosen) {
    lots.set(lot, analysedDraws(model, lot, names.get(lot)!, sampling));
  }
  return sampleIn(model, design, drawnWorld(sampling.samples, scienceOf(model, sampling), lots));
}

/**
 * Finds, in parts, what moves each axis of a design, and what is left of its band when lots are analysed or
 * research settles the parameters. Axes that the design does not bring have no entries.
 */
export function* doubting(
  model: Model,
  design: Design,
  sampling: Sampling = DEFAULT_SAMPLING,
): Parts<Doubt> {
  const lots = lotsOf(design);
  const drawn = lotDrawsOf(model, design, sampling);
  const now = sampleDesign(model, design, sampling);
  yield;
  const known = sampleAnalysed(model, design, lots, drawn, sampling);
  yield;
  const settled = sampleIn(model, design, drawnWorld(sampling.samples, null, drawn));
  yield;
  const alone: { readonly lot: Lot; readonly sample: Sample }[] = [];
  for (const lot of lots) {
    alone.push({ lot, sample: sampleAnalysed(model, design, [lot], drawn, sampling) });
    yield;
  }
  const unknowns = [
    ...lots.flatMap((lot) => lotUnknowns(model, lot, drawn.get(lot)!)),
    ...reportedUnknowns(model, drawn),
    ...scienceUnknowns(model, sampling),
  ];
  const central = predictPoint(model, design).intensities;
  const ends = atEnds(model, design, unknowns);
  const width = ({ low, high }: Band) => high - low;
  const doubts: Partial<Record<AxisId, AxisDoubt>> = {};
  for (const [a, axis] of AXES.entries()) {
    yield;
    const outcome = now.intensities[a]!;
    const band = bandOf(outcome);
    const swings = unknowns
      .map(({ of, draws }, u) => ({
        of,
        draws,
        at_low: ends[a]![2 * u]!,
        at_high: ends[a]![2 * u + 1]!,
      }))
      .filter(({ at_low, at_high }) =>
        [at_low, at_high].some((end) => Math.abs(end - central[a]!) >= LEAST_MOVE),
      )
      .map(({ of, draws, ...at }): Swing => ({ ...of, ...at, share: ownShare(draws, outcome) }))
      .sort((x, y) => Math.abs(y.at_high - y.at_low) - Math.abs(x.at_high - x.at_low));
    const worth = alone
      .map(({ lot, sample }): LotDoubt => {
        const left = bandOf(sample.intensities[a]!);
        const narrower = width(band) > 0 ? 1 - width(left) / width(band) : 0;
        return { hop: lot.hop, form: lot.form, ...left, narrower };
      })
      .sort((x, y) => y.narrower - x.narrower);
    doubts[axis] = {
      intensity: central[a]!,
      ...band,
      swings,
      if_analysed: worth,
      if_all_analysed: bandOf(known.intensities[a]!),
      if_science_settled: bandOf(settled.intensities[a]!),
    };
  }
  return doubts as Record<AxisId, AxisDoubt>;
}

/** The same without a break. */
export function doubtOf(...of: Parameters<typeof doubting>): Doubt {
  return atOnce(doubting(...of));
}
