// What a design gives: its beer compiled once for lots and stages, then run with other grams, in the
// central world or in many at once. The full answer, with bands over drawn worlds, is answer.ts.
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import type { Grams, GramsPerLitre } from '#shared/units.ts';
import { DOUBTFUL_TOTALS, type DoubtfulTotalId, type Totals } from '#shared/answers/answer.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { keyOf } from '#engine/lot/figures.ts';
import { processOf, type Process } from '#engine/process/process.ts';
import { Program, type Values } from '#engine/symbols/program.ts';
import { GRAMS, type Input, type Line } from '#engine/symbols/term.ts';
import type { Evaluation } from '#engine/symbols/world.ts';
import { Beer } from './beer.ts';
import type { Design, LotAddition } from './design.ts';
import { costOf } from './purchases.ts';

/** The figures of a beer, each of one value or of one for every world. */
export interface Figures<V> {
  /** ug/L by compound index. */
  readonly compounds: readonly V[];
  /** Odour activity values by compound index; `null` where no threshold is known. */
  readonly oavs: readonly (V | null)[];
  /** Of the signals, by axis index, what tasters report of the hops. */
  readonly reported: readonly V[];
  /** By axis index. */
  readonly signals: readonly V[];
  readonly intensities: readonly V[];
  readonly totals: Readonly<Record<DoubtfulTotalId, V>>;
  /** Iso-alpha acids in the beer by the key of their stage, mg/L. */
  readonly isoAlpha: ReadonlyMap<string, V>;
  /** Extract that hop creep sets free in the end, P. */
  readonly creepExtract: V;
}

const TOTAL_LINES: Readonly<Record<DoubtfulTotalId, (beer: Beer) => Line>> = {
  leaf_g_per_l: (beer) => beer.leaf(),
  ibu: (beer) => beer.bitterness('ibu'),
  bitter_taste_mg_per_l: (beer) => beer.bitterness('bitter_taste'),
  polyphenols_mg_per_l: (beer) => beer.polyphenols(),
  creep_co2_vol: (beer) => beer.creepCo2(),
  creep_to_come_vol: (beer) => beer.creepToCome(),
  beer_lost_l: (beer) => beer.beerLost(),
  ph_rise: (beer) => beer.phRise(),
};

/** Points of a beer asked for before a program is compiled for points alone. */
const POINTS_BEFORE = 2;

/** A beer compiled: the program, and where each figure stands among its outputs. */
export class CompiledBeer {
  private readonly outputs: readonly Line[];
  private readonly places: Figures<number>;
  private readonly builtFor: readonly Grams[];
  private program: Program | undefined;
  /** The same with everything but the grams at its central value, once it is worth compiling. */
  private central: Program | undefined;
  private pointsAsked = 0;

  /** @param grams those the beer was made with. */
  constructor(beer: Beer, grams: readonly Grams[]) {
    const outputs: Line[] = [];
    this.outputs = outputs;
    this.builtFor = grams;
    const put = (line: Line) => outputs.push(line) - 1;
    this.places = {
      compounds: COMPOUNDS.map((c) => put(beer.concentration(c))),
      oavs: COMPOUNDS.map((c) => {
        const of = beer.odourActivity(c);
        return of && put(of);
      }),
      reported: AXES.map((axis) => put(beer.reported(axis))),
      signals: AXES.map((axis) => put(beer.signal(axis))),
      intensities: AXES.map((axis) => put(beer.intensity(axis))),
      totals: Object.fromEntries(
        DOUBTFUL_TOTALS.map((id) => [id, put(TOTAL_LINES[id](beer))]),
      ) as Record<DoubtfulTotalId, number>,
      isoAlpha: new Map([...beer.isoAlphaByStage()].map(([key, line]) => [key, put(line)])),
      creepExtract: put(beer.creepExtract()),
    };
  }

  /** @param grams of each addition, in the order of the beer. */
  run(evaluation: Evaluation, grams: readonly Grams[]): Figures<Values> {
    const values = evaluation.run(this.inAnyWorld, ({ of, name }: Input) =>
      of === GRAMS ? grams[Number(name)] : undefined,
    );
    return placed(this.places, (place) => values[place]!);
  }

  /** The same at the central figures. */
  point(grams: readonly Grams[]): Point {
    const { builtFor, outputs } = this;
    // Many beers are asked for once: those are not worth compiling.
    if (!this.program && !this.central && grams.every((g, i) => g === builtFor[i])) {
      return placed(this.places, (place) => outputs[place]!.value);
    }
    this.pointsAsked += 1;
    if (this.pointsAsked > POINTS_BEFORE) {
      this.central ??= new Program(
        outputs,
        () => false,
        ({ of }) => of === GRAMS,
      );
    }
    const program = this.central ?? this.inAnyWorld;
    const values = program.runOnce((external) => {
      if (external.kind === 'line') return external.value;
      const { input, value } = external;
      return input.of === GRAMS ? grams[Number(input.name)]! : value;
    });
    return placed(this.places, (place) => values[place]!);
  }

  private get inAnyWorld(): Program {
    return (this.program ??= new Program(this.outputs, (line) => line.kept));
  }
}

/** The same figures, each turned into something else. */
export function placed<V, W>(from: Figures<V>, to: (value: V) => W): Figures<W> {
  return {
    compounds: from.compounds.map(to),
    oavs: from.oavs.map((oav) => (oav === null ? null : to(oav))),
    reported: from.reported.map(to),
    signals: from.signals.map(to),
    intensities: from.intensities.map(to),
    totals: Object.fromEntries(DOUBTFUL_TOTALS.map((id) => [id, to(from.totals[id])])) as Record<
      DoubtfulTotalId,
      W
    >,
    isoAlpha: new Map([...from.isoAlpha].map(([key, value]) => [key, to(value)])),
    creepExtract: to(from.creepExtract),
  };
}

/** Beers of a process that are kept, newest last. */
const beers = new Newest<Process, string, CompiledBeer>(12);

/** The additions that count; a design may list others with no grams. */
export function dosedIn({ additions }: Pick<Design, 'additions'>): LotAddition[] {
  return additions.filter((a) => a.grams > 0);
}

/** The beer of these lots at these stages, whatever the grams. */
export function compiledBeer(process: Process, additions: readonly LotAddition[]): CompiledBeer {
  const key = additions.map(({ lot, stage }) => `${keyOf(lot)} ${stage}`).join('|');
  const grams = additions.map((a) => a.grams);
  return beers.of(process, key, () => new CompiledBeer(new Beer(process, additions), grams));
}

/** A prediction in one world. */
export type Point = Figures<number>;

/** Predicts a design at the central figures. */
export function predictPoint(model: Model, design: Design): Point {
  const additions = dosedIn(design);
  const process = processOf(model, design.batch, design.stages);
  return compiledBeer(process, additions).point(additions.map((a) => a.grams));
}

/** Total dry-hop load, g per L of beer. */
export function dryHopLoad(model: Model, design: Design): GramsPerLitre {
  const process = processOf(model, design.batch, design.stages);
  return new Beer(process, dosedIn(design)).load().value;
}

/** Lots used in a design, each once. */
export function lotsOf(design: Design): Lot[] {
  return [...new Set(dosedIn(design).map((a) => a.lot))];
}

/** All totals of a point: what is exact joined to what was predicted. */
export function totalsOf(design: Design, point: Point): Totals {
  const hopG = design.additions.reduce((sum, a) => sum + a.grams, 0);
  return {
    hop_g: hopG,
    hop_g_per_l: hopG / design.batch.beer_l,
    ...point.totals,
    cost: costOf(design),
  };
}
