// Invented brewers: a hidden true model drawn from the priors by none of the code that learns, a freezer
// of hops, batches brewed from it, and tasters with a bias and a noise of their own.
import { ANALYTES, AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { sampleIn } from '#engine/doubt/bands.ts';
import { correlationWithOil, figureValues } from '#engine/doubt/lot-sampling.ts';
import { sharedUnknowns } from '#engine/doubt/learned.ts';
import { parameterAt, randomFrom, type Random } from '#engine/doubt/sampling.ts';
import { normalScore } from '#engine/doubt/scores.ts';
import type { NoteScore, Tasted } from '#engine/learning/evidence.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { CYS_SHARE, reportedName, SH3_BY_CLASS } from '#engine/lot/figures.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { model as published, type Model } from '#engine/tables/model.ts';
import { weightRange } from '#engine/symbols/rows.ts';
import { PARAMETERS, THRESHOLDS, WEIGHTS } from '#engine/symbols/term.ts';
import type { World } from '#engine/symbols/world.ts';

const OFFERED = published.hops.filter((hop) => hop.missing.length === 0);

export interface Brewer {
  readonly random: Random;
  /** Names of the varieties in the freezer. */
  readonly freezer: readonly string[];
  readonly batch: Schedule['batch'];
  readonly stages: Schedule['stages'];
  /** The hidden truth of what every batch shares, by id. */
  readonly shared: ReadonlyMap<string, number>;
  /** What is in the hops of one delivery, by the names a world finds it by. */
  readonly lots: Map<string, ReadonlyMap<string, number>>;
  readonly biases: readonly number[];
}

/** @param outside a figure that lies outside its published range, as a factor on its middle. */
export function brewerOf(seed: number, outside: ReadonlyMap<string, number> = new Map()): Brewer {
  const random = randomFrom((seed * 0.618034) % 1);
  const drawn = (range: Interval) =>
    parameterAt(range, Math.min(Math.max(random.uniform(), 1e-9), 1 - 1e-9));
  const shared = new Map<string, number>();
  const put = (id: string, range: Interval) => {
    const own = drawn(range);
    shared.set(id, outside.has(id) ? range.central * outside.get(id)! : own);
  };
  for (const [id, row] of Object.entries(published.parameters)) {
    if (!row.fixed) put(`parameter/${id}`, row);
  }
  for (const c of COMPOUNDS) {
    const { threshold } = published.compounds[c];
    if (threshold) put(`threshold/${c}`, threshold);
  }
  for (const row of published.weights) put(`weight/${row.axis}/${row.driver}`, weightRange(row));
  for (const hop of OFFERED) {
    for (const axis of AXES) {
      const range = hop.reported[axis];
      if (range) put(`cell/${hop.id}/reported/${axis}`, range);
    }
  }
  const freezer = new Set<string>();
  while (freezer.size < 8)
    freezer.add(OFFERED[Math.floor(random.uniform() * OFFERED.length)]!.name);
  return {
    random,
    freezer: [...freezer],
    batch: {
      beer_l: 20,
      yeast: random.uniform() < 0.5 ? 'standard' : 'thiol_releasing',
      malt_g_per_l: 200,
    },
    stages: {
      hot_steep: { temp_c: 80, minutes: 20, closed: false },
      dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
    },
    shared,
    lots: new Map(),
    biases: [0.5 * random.normal(), 0.5 * random.normal()],
  };
}

/** A beer of two to four hops of the freezer. */
export function scheduleBy({ random, freezer, batch, stages }: Brewer): Schedule {
  const count = 2 + Math.floor(random.uniform() * 3);
  const hops = [...freezer].sort(() => random.uniform() - 0.5).slice(0, count);
  const additions = hops.map((hop): Addition => ({
    hop,
    form: 'pellet_90',
    stage: random.uniform() < 0.25 ? 'hot_steep' : 'dry_hop',
    grams: Math.round(20 + 60 * random.uniform()),
  }));
  return { name: 'a beer', batch, stages, additions };
}

export function designBy(model: Model, schedule: Schedule): Design {
  const design = designOf(model, schedule);
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  return design.value;
}

const ID_OF = new Map(published.hops.map((hop) => [hop.name, hop.id]));

function lotBy(brewer: Brewer, lot: Lot, delivery: string): ReadonlyMap<string, number> {
  const known = brewer.lots.get(delivery);
  if (known) return known;
  const { random } = brewer;
  const drawn = new Map<string, number>();
  const oil = random.normal();
  for (const analyte of ANALYTES) {
    const figure = lot.figures[analyte];
    const score = random.normal();
    if (!figure) continue;
    const r = figure.perProduct ? 0 : correlationWithOil(published, analyte);
    const mixed = r * oil + Math.sqrt(1 - r * r) * score;
    drawn.set(analyte, figureValues(figure, Float64Array.of(mixed))[0]!);
  }
  const { parameters } = published;
  const share = (range: Interval) => parameterAt(range, Math.max(random.uniform(), 1e-9));
  drawn.set(SH3_BY_CLASS, share(parameters[`precursor.g_sh3.${lot.tendency}`]));
  drawn.set(CYS_SHARE, share(parameters['precursor.cys_share']));
  for (const axis of AXES) {
    const reported = brewer.shared.get(`cell/${ID_OF.get(lot.hop)}/reported/${axis}`);
    if (reported !== undefined) drawn.set(reportedName(axis), reported);
  }
  brewer.lots.set(delivery, drawn);
  return drawn;
}

/** The true intensities of a beer, by axis. @param deliveryOf the delivery the hops of a variety are of. */
export function truthOf(
  brewer: Brewer,
  design: Design,
  deliveryOf: (hop: string) => string = (hop) => hop,
): number[] {
  const world: World = {
    count: 1,
    valuesOf: ({ of, name }) => {
      if (of === PARAMETERS) {
        return name.startsWith('aroma.middle.') ? 1 : brewer.shared.get(`parameter/${name}`);
      }
      if (of === THRESHOLDS) return brewer.shared.get(`threshold/${name}`);
      if (of === WEIGHTS) return brewer.shared.get(`weight/${name.replace(' ', '/')}`);
      if (!('hop' in of)) return undefined;
      const lot = of as Lot;
      return lotBy(brewer, lot, deliveryOf(lot.hop)).get(name);
    },
  };
  return sampleIn(published, design, world).intensities.map((values) => values[0]!);
}

/** What two tasters say of a beer: their bias, a noise of one point, the ends of the scale. */
export function tasted(brewer: Brewer, id: string, schedule: Schedule, noise = 1): Tasted {
  const design = designBy(published, schedule);
  const truth = truthOf(brewer, design);
  const scores = brewer.biases.flatMap((bias, t) =>
    AXES.map((axis: AxisId, a): NoteScore => {
      const said = truth[a]! + bias + noise * brewer.random.normal();
      return { taster: `T${t}`, axis, score: Math.min(7, Math.max(0, Math.round(said * 2) / 2)) };
    }),
  );
  const deliveries = design.additions.map(({ lot }) => lot.hop);
  return { id, design, deliveries, scores, lab: [] };
}

/** The score of a figure on its published range. */
export function hiddenScore(id: string, figure: number): number {
  const { low, central, high } = sharedUnknowns(published).get(id)!.range;
  const end = figure < central ? low : high;
  const way =
    low <= 0
      ? (figure - central) / (end - central)
      : Math.log(figure / central) / Math.log(end / central);
  const share = (1 - way) ** 2 / 2;
  const score = -normalScore(Math.min(Math.max(share, 1e-12), 0.5));
  return figure < central ? -score : score;
}

/** The published model with every shared figure as it is in truth, what is in the lots as published. */
export function knownTruth({ shared }: Brewer): Model {
  const at = (id: string) => {
    const figure = shared.get(id);
    return figure === undefined ? null : { low: figure, central: figure, high: figure };
  };
  const parameters = Object.entries(published.parameters).map(([id, row]) => {
    const middle = id.startsWith('aroma.middle.') && { low: 1, central: 1, high: 1 };
    return [id, { ...row, ...(middle || at(`parameter/${id}`)) }];
  });
  const compounds = COMPOUNDS.map((c) => {
    const { threshold, ...rest } = published.compounds[c];
    const own = at(`threshold/${c}`);
    return [c, { ...rest, ...(threshold && { threshold: { ...threshold, ...own } }) }];
  });
  return {
    ...published,
    parameters: Object.fromEntries(parameters) as Model['parameters'],
    compounds: Object.fromEntries(compounds) as Model['compounds'],
    weights: published.weights.map((row) => {
      const range = at(`weight/${row.axis}/${row.driver}`);
      return range ? { ...row, weight: range.central, range } : row;
    }),
    hops: published.hops.map((hop) => ({
      ...hop,
      reported: Object.fromEntries(
        Object.entries(hop.reported).map(([axis, cell]) => [
          axis,
          { ...cell, ...at(`cell/${hop.id}/reported/${axis}`) },
        ]),
      ) as typeof hop.reported,
    })),
  };
}
