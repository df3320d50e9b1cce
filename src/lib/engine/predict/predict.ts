// What a design gives: its beer is compiled once for its lots and stages and then run with other grams and
// other conditions, in the central world or in many at once. The full answer, with bands over drawn worlds, is
// answer.ts.
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import { DOUBTFUL_TOTALS, type DoubtfulTotalId, type Totals } from '#shared/answers/prediction.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { keyOf } from '#engine/lot/figures.ts';
import { conditionIn, processOf, shapeOf, type Process } from '#engine/process/process.ts';
import type { External } from '#engine/symbols/compiler.ts';
import { Program, Execution, type Values } from '#engine/symbols/program.ts';
import { CONDITIONS, GRAMS, type Input, type Line } from '#engine/symbols/term.ts';
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
  /** By axis index, the part of the signal that comes from what tasters report of the hops. */
  readonly reported: readonly V[];
  /** By axis index. */
  readonly signals: readonly V[];
  readonly intensities: readonly V[];
  readonly totals: Readonly<Record<DoubtfulTotalId, V>>;
  /** Iso-alpha acids in the beer by the key of their stage, mg/L. */
  readonly isoAlpha: ReadonlyMap<string, V>;
  /** Extract that hop creep sets free in the end, P. */
  readonly creepExtract: V;
  /** Total dry-hop load, g per L of beer. */
  readonly dryHopLoad: V;
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

/** The central value of a figure that does not change with the design. */
const centrally = ({ value }: External) => value;

/** Values for what a design states of its additions, its batch and its stages. */
function givenIn({ batch, stages }: Design, additions: readonly LotAddition[]) {
  return ({ of, name }: Input): number =>
    of === GRAMS ? additions[Number(name)]!.grams : conditionIn({ batch, stages }, name);
}

function writtenOut({ batch, stages, additions }: Design): string {
  return JSON.stringify([batch, stages, additions.map((a) => a.grams)]);
}

/** Whether the design states an input; other inputs are known of hops, beer and noses. */
const isGiven = ({ of }: Input) => of === GRAMS || of === CONDITIONS;

/** A beer compiled: the program, and where each figure stands among its outputs. */
export class CompiledBeer {
  private readonly outputs: readonly Line[];
  private readonly places: Figures<number>;
  /** The process of the design it was compiled for. */
  private readonly process: Process;
  private readonly builtFor: string;
  private program: Program | undefined;
  /** The execution in the central world. */
  private central: Execution | undefined;

  constructor(model: Model, design: Design) {
    this.process = processOf(model, design.batch, design.stages);
    const beer = new Beer(this.process, dosedIn(design));
    const outputs: Line[] = [];
    this.outputs = outputs;
    this.builtFor = writtenOut(design);
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
      dryHopLoad: put(beer.load()),
    };
  }

  /** @param design with the same lots at the same stages. */
  run(evaluation: Evaluation, design: Design): Figures<Values> {
    const figureOf = givenIn(design, dosedIn(design));
    const values = evaluation.run(this.inAnyWorld, (input) =>
      isGiven(input) ? figureOf(input) : undefined,
    );
    return placed(this.places, (place) => values[place]!);
  }

  /** The same, continuing the run of the design before. The next run overwrites the arrays. */
  again(evaluation: Evaluation, design: Design): Figures<Values> {
    const values = evaluation.again(this.inAnyWorld, givenIn(design, dosedIn(design)));
    return placed(this.places, (place) => values[place]!);
  }

  /** The figures in the central world. */
  point(design: Design): Point {
    const { builtFor, outputs } = this;
    // Many beers are asked for only once: compiling them would cost more than it saves.
    if (!this.program && !this.central && writtenOut(design) === builtFor) {
      return placed(this.places, (place) => outputs[place]!.value);
    }
    this.central ??= new Execution(this.inAnyWorld, 1, centrally);
    const values = this.central.again(givenIn(design, dosedIn(design)));
    return placed(this.places, (place) => values[place] as number);
  }

  /** Whether leaf of a stage ends up in the wort or beer. */
  leavesLeaf(stageKey: string): boolean {
    return this.process.stage(stageKey).leavesLeaf;
  }

  /** Whether yeast frees bound thiols of the hops of a stage. */
  freesThiols(stageKey: string): boolean {
    return this.process.stage(stageKey).bound !== null;
  }

  private get inAnyWorld(): Program {
    return (this.program ??= new Program(this.outputs, {
      isExternal: (line) => line.kept,
      varies: () => true,
    }));
  }
}

/** The same figures, each converted by `to`. */
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
    dryHopLoad: to(from.dryHopLoad),
  };
}

/** Number of compiled beers kept for each model, the newest. */
const beers = new Newest<Model, string, CompiledBeer>(12);

/** The additions that count; a design may list others with 0 g. */
export function dosedIn({ additions }: Pick<Design, 'additions'>): LotAddition[] {
  return additions.filter((a) => a.grams > 0);
}

/** The compiled beer of these lots at stages like these; grams and figures of the conditions may differ. */
export function compiledBeer(model: Model, design: Design): CompiledBeer {
  const places = dosedIn(design).map(({ lot, stage }) => `${keyOf(lot)} ${stage}`);
  const key = [shapeOf(design), ...places].join('|');
  return beers.of(model, key, () => new CompiledBeer(model, design));
}

/** A prediction in one world: one number for each figure. */
export type Point = Figures<number>;

/** Predicts a design at the central figures. */
export function predictPoint(model: Model, design: Design): Point {
  return compiledBeer(model, design).point(design);
}

/** Lots used in a design, each once. */
export function lotsOf(design: Design): Lot[] {
  return [...new Set(dosedIn(design).map((a) => a.lot))];
}

/** All totals of a prediction: hop weight and cost, which are exact, and the predicted ones. */
export function totalsOf(design: Design, point: Point): Totals {
  const hopG = design.additions.reduce((sum, a) => sum + a.grams, 0);
  return {
    hop_g: hopG,
    hop_g_per_l: hopG / design.batch.beer_l,
    ...point.totals,
    cost: costOf(design),
  };
}
