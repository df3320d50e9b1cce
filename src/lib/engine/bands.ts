// Bands from joint sampling: a design predicted in many drawn worlds, and the 10 and 90 % points of
// every figure. What is drawn, and from which distribution, is sampling.ts and lot-sampling.ts.
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import { DOUBTFUL_TOTALS, type Band, type DoubtfulTotalId } from '#shared/answer.ts';
import { intensityOf } from './aroma.ts';
import type { Lot } from './composition.ts';
import type { Design } from './design.ts';
import { drawLot, lotInDraw, lotNames, rowOf, type LotDraws } from './lot-sampling.ts';
import type { Model } from './model.ts';
import { predictIn, smellOf, type Setting, type Smell, type World } from './predict.ts';
import { processOf } from './process.ts';
import { scienceOf, type Sampling, type Science } from './sampling.ts';

export const DEFAULT_SAMPLING: Sampling = { samples: 500, seed: 20 };

/** Conditions of which the prepared draws are kept, newest last. */
const SETTINGS_KEPT = 3;

interface Prepared {
  readonly smells: readonly Smell[];
  readonly settings: Map<string, readonly Setting[]>;
}
const preparedDraws = new WeakMap<Model, Map<string, Prepared>>();

/** What is kept of a model and a sampling, whatever the design. */
function preparedOf(model: Model, sampling: Sampling): Prepared {
  const known = preparedDraws.get(model) ?? new Map<string, Prepared>();
  preparedDraws.set(model, known);
  const key = `${sampling.samples} ${sampling.seed}`;
  let prepared = known.get(key);
  if (!prepared) {
    const { values, thresholds } = scienceOf(model, sampling);
    const smells = values.map((v, k) => smellOf(model, { values: v, thresholds: thresholds[k]! }));
    prepared = { smells, settings: new Map() };
    known.set(key, prepared);
  }
  return prepared;
}

/** The conditions of a design in every draw; the newest few are kept for the next blend. */
export function settingsOf(model: Model, design: Design, sampling: Sampling): readonly Setting[] {
  const { batch, stages } = design;
  const { smells, settings: kept } = preparedOf(model, sampling);
  const key = JSON.stringify([batch, stages]);
  let settings = kept.get(key);
  if (!settings) {
    const { values } = scienceOf(model, sampling);
    settings = values.map((v, k) => ({
      process: processOf(model, batch, stages, v),
      ...smells[k]!,
    }));
  }
  kept.delete(key);
  kept.set(key, settings);
  for (const oldest of [...kept.keys()].slice(0, -SETTINGS_KEPT)) kept.delete(oldest);
  return settings;
}

/** The lots of a design over all draws, each lot once. */
export function lotDrawsOf(model: Model, design: Design, sampling: Sampling): Map<Lot, LotDraws> {
  const names = lotNames(design.additions.map((a) => a.lot));
  return new Map([...names].map(([lot, name]) => [lot, drawLot(model, lot, name, sampling)]));
}

/** The world of one draw. */
export function worldOfDraw(
  { values, thresholds }: Science,
  lots: ReadonlyMap<Lot, LotDraws>,
  draw: number,
): World {
  return {
    values: values[draw]!,
    thresholds: thresholds[draw]!,
    lots: new Map([...lots].map(([lot, draws]) => [lot, lotInDraw(draws, draw)])),
  };
}

/** A prediction in every draw: one array per figure, by draw. */
export interface Sample {
  /** ug/L, by compound index. */
  readonly compounds: readonly Float64Array[];
  /** By compound index; NaN where no threshold is known. */
  readonly oavs: readonly Float64Array[];
  /** Intensities by axis index. */
  readonly axes: readonly Float64Array[];
  readonly totals: Readonly<Record<DoubtfulTotalId, Float64Array>>;
}

/** Predicts a design in every draw. */
export function sampleDesign(model: Model, design: Design, sampling: Sampling): Sample {
  const settings = settingsOf(model, design, sampling);
  return sampleIn(settings, design, lotDrawsOf(model, design, sampling));
}

/** Predicts a design under these conditions and lots, one of each per draw. */
export function sampleIn(
  settings: readonly Setting[],
  design: Design,
  drawn: ReadonlyMap<Lot, LotDraws>,
): Sample {
  const samples = settings.length;
  const arrays = (names: readonly string[]) => names.map(() => new Float64Array(samples));
  const sample = {
    compounds: arrays(COMPOUNDS),
    oavs: arrays(COMPOUNDS),
    axes: arrays(AXES),
    totals: Object.fromEntries(
      DOUBTFUL_TOTALS.map((id) => [id, new Float64Array(samples)]),
    ) as Record<DoubtfulTotalId, Float64Array>,
  };
  const lots = design.additions.map((a) => drawn.get(a.lot)!);
  settings.forEach((setting, k) => {
    const point = predictIn(setting, design, lots, rowOf(k));
    for (let i = 0; i < COMPOUNDS.length; i += 1) {
      sample.compounds[i]![k] = point.compounds[i]!;
      sample.oavs[i]![k] = point.oavs[i]!;
    }
    for (let i = 0; i < AXES.length; i += 1) {
      sample.axes[i]![k] = intensityOf(point.signals[i]!, setting.process.values);
    }
    for (const id of DOUBTFUL_TOTALS) sample.totals[id][k] = point.totals[id];
  });
  return sample;
}

/** The point of a share of sorted draws, between the two nearest (R quantile type 7). */
export function quantileOf(sorted: Float64Array, share: number): number {
  const place = (sorted.length - 1) * share;
  const below = Math.floor(place);
  const low = sorted[below]!;
  const high = sorted[Math.min(below + 1, sorted.length - 1)]!;
  return low + (high - low) * (place - below);
}

/** 10 and 90 % points of draws. */
export function bandOf(draws: Float64Array): Band {
  const sorted = draws.slice().sort();
  return { low: quantileOf(sorted, 0.1), high: quantileOf(sorted, 0.9) };
}
