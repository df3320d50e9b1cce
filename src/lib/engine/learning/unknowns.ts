// The unknowns that evidence informs, each a standard normal score with its published range as prior: what
// every batch shares (parameters, thresholds, weights, what tasters report of a variety), what belongs to one
// delivery of hops, and how much higher than others a taster scores. Their ranges and draws are defined in
// doubt/.
import type { AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { findHop, type Lot } from '#engine/lot/composition.ts';
import { CYS_SHARE, reportedAxis, SH3_BY_CLASS } from '#engine/lot/figures.ts';
import type { Model } from '#engine/tables/model.ts';
import {
  parameterKey,
  reportedKey,
  sharedUnknowns,
  thresholdKey,
  weightKey,
} from '#engine/doubt/learned.ts';
import { correlationWithOil, figureByScore } from '#engine/doubt/lot-sampling.ts';
import { figureAt, figureSlopeAt } from '#engine/doubt/scores.ts';
import { PARAMETERS, THRESHOLDS, WEIGHTS, type Input } from '#engine/symbols/term.ts';

/** A figure as a function of the scores of the unknowns. */
export interface FigureSource {
  readonly value: (scores: Float64Array) => number;
  /** Adds to `row` the slopes by the scores that follow from a slope by the figure. */
  readonly add: (slope: number, scores: Float64Array, row: Float64Array) => void;
}

const constant = (value: number): FigureSource => ({ value: () => value, add: () => undefined });

/** Step of a score by which the slope of a lot's figure is found; the figure is smooth except at its median. */
const STEP = 1e-4;

export class Unknowns {
  private readonly model: Model;
  private readonly places = new Map<string, number>();

  constructor(model: Model) {
    this.model = model;
  }

  get count(): number {
    return this.places.size;
  }

  /** The index of an unknown; a new one is added when it is first asked for. */
  place(id: string): number {
    const known = this.places.get(id) ?? this.places.size;
    this.places.set(id, known);
    return known;
  }

  /** Ids and indices of what every batch shares. */
  shared(): [id: string, place: number][] {
    const all = sharedUnknowns(this.model);
    return [...this.places].filter(([id]) => all.has(id));
  }

  placeOf(id: string): number | undefined {
    return this.places.get(id);
  }

  /** The function of the scores that gives an input of a batch. */
  sourceOf(
    { of, name }: Input,
    central: number,
    deliveries: ReadonlyMap<object, string>,
  ): FigureSource {
    if (of === PARAMETERS) return this.sharedSource(parameterKey(name), central);
    if (of === THRESHOLDS) return this.sharedSource(thresholdKey(name as never), central);
    if (of === WEIGHTS) {
      const [axis = '', driver = ''] = name.split(' ');
      return this.sharedSource(weightKey(axis as never, driver), central);
    }
    const delivery = deliveries.get(of);
    return delivery === undefined
      ? constant(central)
      : this.lotSource(of as Lot, name, delivery, central);
  }

  private sharedSource(id: string, central: number): FigureSource {
    const unknown = sharedUnknowns(this.model).get(id);
    return unknown ? ranged(unknown.range, this.place(id)) : constant(central);
  }

  private lotSource(lot: Lot, name: string, delivery: string, central: number): FigureSource {
    const axis = reportedAxis(name);
    const hop = axis && findHop(this.model, lot.hop);
    if (axis && hop) return this.sharedSource(reportedKey(hop.id, axis), central);
    const own = () => this.place(`lot/${delivery}/${name}`);
    const { parameters } = this.model;
    if (name === SH3_BY_CLASS) return ranged(parameters[`precursor.g_sh3.${lot.tendency}`], own());
    if (name === CYS_SHARE) return ranged(parameters['precursor.cys_share'], own());
    const figure = lot.figures[name as AnalyteId];
    if (!figure) return constant(central);
    const isOwn = figure.status === 'analysis';
    const shared = isOwn ? 0 : correlationWithOil(this.model, name as AnalyteId);
    const parts: [place: number, share: number][] = [];
    if (shared !== 0) parts.push([this.place(`lot/${delivery}/oil`), shared]);
    if (shared < 1) parts.push([own(), Math.sqrt(1 - shared * shared)]);
    return spreading(figure, parts);
  }
}

/** A figure that one score draws from its range. */
function ranged(range: Interval, place: number): FigureSource {
  return {
    value: (scores) => figureAt(range, scores[place]!),
    add: (slope, scores, row) => {
      row[place]! += slope * figureSlopeAt(range, scores[place]!);
    },
  };
}

/** A figure of a lot that several scores draw together. */
function spreading(
  figure: Interval,
  parts: readonly [place: number, share: number][],
): FigureSource {
  const mixed = (scores: Float64Array) => {
    let sum = 0;
    for (const [place, share] of parts) sum += share * scores[place]!;
    return sum;
  };
  const figureAtScore = figureByScore(figure);
  return {
    value: (scores) => figureAtScore(mixed(scores)),
    add: (slope, scores, row) => {
      const at = mixed(scores);
      const rise = (figureAtScore(at + STEP) - figureAtScore(at - STEP)) / (2 * STEP);
      for (const [place, share] of parts) row[place]! += slope * rise * share;
    },
  };
}
