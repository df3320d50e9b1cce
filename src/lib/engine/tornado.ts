// Which unknowns move a blend most: each one moved alone to its 10 and its 90 % point, the rest at the
// default, with the part of the band's variance that is its own. What a lab could measure in the lots
// stands apart from what only science could settle, and the bands that would be left say what either
// is worth.
import { ANALYTES, AXES, COMPOUNDS, type AnalyteId, type AxisId } from '#shared/ids.ts';
import type { Band } from '#shared/answer.ts';
import type { AxisDoubt, Doubt, LotDoubt, Swing } from '#shared/doubt.ts';
import type { Interval } from '#shared/interval.ts';
import { intensityOf } from './aroma.ts';
import {
  bandOf,
  DEFAULT_SAMPLING,
  lotDrawsOf,
  sampleDesign,
  sampleIn,
  settingsOf,
  type Sample,
} from './bands.ts';
import type { Lot, LotFigure } from './composition.ts';
import type { Design } from './design.ts';
import { statedValues, type LotValues } from './effect.ts';
import { drawLot, figureValues, lotNames, type LotDraws } from './lot-sampling.ts';
import { defaultValues, type Model, type ParameterId } from './model.ts';
import { defaultWorld, lotsOf, predictPoint, smellOf, type World } from './predict.ts';
import { processOf } from './process.ts';
import { closeOil } from './oil-parts.ts';
import { parameterAt, scienceOf, type Sampling } from './sampling.ts';

/** Normal score of the 90 % point. */
const Z90 = 1.2815515655446004;
/** Groups of draws by the rank of an unknown; between them lies its own part of the variance. */
const RANK_GROUPS = 10;
/** Least move of an axis that counts, in intensity: far below what anyone can tell apart. */
const LEAST_MOVE = 0.001;
const G_SH3 = ANALYTES.indexOf('g_sh3_mg_per_kg');
const CYS_SH3 = ANALYTES.indexOf('cys_sh3_mg_per_kg');

/** An unknown with the worlds at its two points and its value in every draw. */
interface Unknown {
  readonly of: Pick<Swing, 'kind' | 'id' | 'hop' | 'form' | 'settled_by'>;
  readonly ends: readonly [World, World];
  readonly draws: (draw: number) => number;
}

/** Whether a parameter is drawn for each lot instead: it is then a figure of the lot. */
function isOfLots(id: string): boolean {
  return id.startsWith('precursor.g_sh3.') || id === 'precursor.cys_share';
}

function scienceUnknowns(model: Model, world: World, sampling: Sampling): Unknown[] {
  const { values, thresholds } = scienceOf(model, sampling);
  const ends = (range: Interval, at: (value: number) => World): [World, World] => [
    at(parameterAt(range, 0.1)),
    at(parameterAt(range, 0.9)),
  ];
  const parameters = (Object.keys(model.parameters) as ParameterId[])
    .filter((id) => !model.parameters[id].fixed && !isOfLots(id))
    .map((id): Unknown => {
      const at = (value: number) => ({ ...world, values: { ...world.values, [id]: value } });
      return {
        of: { kind: 'parameter', id, hop: null, form: null, settled_by: 'science' },
        ends: ends(model.parameters[id], at),
        draws: (k) => values[k]![id],
      };
    });
  const smells = COMPOUNDS.flatMap((c): Unknown[] => {
    const { threshold } = model.compounds[c];
    if (!threshold) return [];
    const at = (value: number) => ({ ...world, thresholds: { ...world.thresholds, [c]: value } });
    const of = { kind: 'threshold', id: c, hop: null, form: null, settled_by: 'science' } as const;
    return [{ of, ends: ends(threshold, at), draws: (k) => thresholds[k]![c]! }];
  });
  return [...parameters, ...smells];
}

/** The lot with one figure at another value, its oil closed. */
function lotWith(values: LotValues, figure: number, value: number, like?: number): LotValues {
  const figures = values.figures.slice();
  const perProduct = values.perProduct.slice();
  figures[figure] = value;
  if (like !== undefined) perProduct[figure] = perProduct[like]!;
  closeOil(figures, 0, perProduct);
  return { ...values, figures, perProduct };
}

function lotUnknowns(model: Model, lot: Lot, world: World, draws: LotDraws): Unknown[] {
  const stated = statedValues(model, lot);
  const unknown = (id: AnalyteId, ends: readonly [LotValues, LotValues]): Unknown => {
    const column = ANALYTES.indexOf(id);
    const at = (values: LotValues) => ({ ...world, lots: new Map(world.lots).set(lot, values) });
    return {
      of: { kind: 'lot', id, hop: lot.hop, form: lot.form, settled_by: 'lab' },
      ends: [at(ends[0]), at(ends[1])],
      draws: (k) => draws.figures[k * ANALYTES.length + column]!,
    };
  };
  const scores = Float64Array.of(-Z90, Z90);
  const known = ANALYTES.flatMap((id, i) => {
    const figure = lot.figures[id];
    if (!figure) return [];
    const [low, high] = figureValues(figure, scores);
    return [unknown(id, [lotWith(stated, i, low!), lotWith(stated, i, high!)])];
  });
  const { parameters } = model;
  const tendency = parameters[`precursor.g_sh3.${lot.tendency}`];
  if (!lot.figures.g_sh3_mg_per_kg) {
    const at = (share: number) => lotWith(stated, G_SH3, parameterAt(tendency, share));
    known.push(unknown('g_sh3_mg_per_kg', [at(0.1), at(0.9)]));
  }
  if (!lot.figures.cys_sh3_mg_per_kg) {
    const g = lot.figures.g_sh3_mg_per_kg?.central ?? tendency.central;
    const at = (share: number) =>
      lotWith(stated, CYS_SH3, g * parameterAt(parameters['precursor.cys_share'], share), G_SH3);
    known.push(unknown('cys_sh3_mg_per_kg', [at(0.1), at(0.9)]));
  }
  return known;
}

/**
 * Part of the variance of `outcome` that goes with the rank of an unknown alone (first order), 0 to 1:
 * the variance between groups of draws of like rank, less what chance puts between them.
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

/** The lot as it would be known after a full analysis. */
function analysed(model: Model, lot: Lot): Lot {
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
  return { ...lot, figures };
}

/** Bands of every axis once some lots are analysed, the others as they are. */
function sampleAnalysed(
  model: Model,
  design: Design,
  chosen: readonly Lot[],
  drawn: ReadonlyMap<Lot, LotDraws>,
  sampling: Sampling,
): Sample {
  const names = lotNames(design.additions.map((a) => a.lot));
  const lots = new Map(drawn);
  for (const lot of chosen) {
    lots.set(lot, drawLot(model, analysed(model, lot), names.get(lot)!, sampling));
  }
  return sampleIn(settingsOf(model, design, sampling), design, lots);
}

/**
 * What moves each axis of a design, and what is left of its band when lots are analysed or science is
 * settled. Axes that the design does not bring have no swings.
 */
export function doubtOf(
  model: Model,
  design: Design,
  sampling: Sampling = DEFAULT_SAMPLING,
): Doubt {
  const lots = lotsOf(design);
  const world = defaultWorld(model, new Set(design.additions.map((a) => a.lot)));
  const drawn = lotDrawsOf(model, design, sampling);
  const now = sampleDesign(model, design, sampling);
  const known = sampleAnalysed(model, design, lots, drawn, sampling);
  const setting = {
    process: processOf(model, design.batch, design.stages, world.values),
    ...smellOf(model, world),
  };
  const settled = sampleIn(Array(sampling.samples).fill(setting), design, drawn);
  const alone = lots.map((lot) => ({
    lot,
    sample: sampleAnalysed(model, design, [lot], drawn, sampling),
  }));
  const unknowns = [
    ...lots.flatMap((lot) => lotUnknowns(model, lot, world, drawn.get(lot)!)),
    ...scienceUnknowns(model, world, sampling),
  ];
  const values = defaultValues(model);
  const intensities = (w: World) =>
    predictPoint(model, design, w).signals.map((s) => intensityOf(s, values));
  const central = intensities(world);
  const moved = unknowns.map((u) => ({
    of: u.of,
    ends: u.ends.map(intensities) as [Float64Array, Float64Array],
    draws: Float64Array.from({ length: sampling.samples }, (_, k) => u.draws(k)),
  }));
  const width = ({ low, high }: Band) => high - low;
  return Object.fromEntries(
    AXES.map((axis, a): [AxisId, AxisDoubt] => {
      const outcome = now.axes[a]!;
      const band = bandOf(outcome);
      const swings = moved
        .filter(({ ends }) => ends.some((end) => Math.abs(end[a]! - central[a]!) >= LEAST_MOVE))
        .map(({ of, ends: [low, high], draws }): Swing => ({
          ...of,
          at_low: low[a]!,
          at_high: high[a]!,
          share: ownShare(draws, outcome),
        }))
        .sort((x, y) => Math.abs(y.at_high - y.at_low) - Math.abs(x.at_high - x.at_low));
      const worth = alone
        .map(({ lot, sample }): LotDoubt => {
          const left = bandOf(sample.axes[a]!);
          const narrower = width(band) > 0 ? 1 - width(left) / width(band) : 0;
          return { hop: lot.hop, form: lot.form, ...left, narrower };
        })
        .sort((x, y) => y.narrower - x.narrower);
      return [
        axis,
        {
          intensity: central[a]!,
          ...band,
          swings,
          if_analysed: worth,
          if_all_analysed: bandOf(known.axes[a]!),
          if_science_settled: bandOf(settled.axes[a]!),
        },
      ];
    }),
  ) as Record<AxisId, AxisDoubt>;
}
