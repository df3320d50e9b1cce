// What a brewer gives the program to learn from: batches as brewed, scores of tasters, figures of a lab; and
// the figures of each batch that are compared with them, compiled once together with their slopes.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { MIDDLES } from '#engine/doubt/sampling.ts';
import { Beer } from '#engine/predict/beer.ts';
import type { Design } from '#engine/predict/design.ts';
import { dosedIn } from '#engine/predict/predict.ts';
import { processOf } from '#engine/process/process.ts';
import { Program } from '#engine/symbols/program.ts';
import { Slopes } from '#engine/symbols/slopes.ts';
import { PARAMETERS } from '#engine/symbols/term.ts';
import { SlopeRow } from './slope-row.ts';
import type { FigureSource, Unknowns } from './unknowns.ts';

/** One taster's score of one note. */
export interface NoteScore {
  /** Initials, or any other short name. */
  readonly taster: string;
  readonly axis: AxisId;
  /** From 0 (not there) to 7, on the scale of intensities. */
  readonly score: number;
}

/** What a lab measures in a beer. */
export type LabId = 'ibu' | CompoundId;

export interface LabReading {
  readonly of: LabId;
  /** In ug/L, or IBU. */
  readonly value: number;
  /** Relative standard deviation of the measurement. */
  readonly precision: number;
}

/** A batch with everything known of its beer. */
export interface Tasted {
  readonly id: string;
  readonly design: Design;
  /** By addition, the delivery its hops came from; the same id in several batches means the same lot. */
  readonly deliveries: readonly string[];
  readonly scores: readonly NoteScore[];
  readonly lab: readonly LabReading[];
}

/** A figure of a batch for which there is evidence. */
export type FigureOf = { readonly axis: AxisId } | { readonly lab: LabId };

/** The figures of one batch as functions of the unknowns. */
export class BatchModel {
  readonly of: Tasted;
  private readonly sources: readonly FigureSource[];
  private readonly places: ReadonlyMap<string, number>;
  private readonly slopes: Slopes;

  constructor(model: Model, of: Tasted, unknowns: Unknowns) {
    this.of = of;
    const additions = dosedIn(of.design);
    const beer = new Beer(processOf(model, of.design.batch, of.design.stages), additions);
    const lines = [
      ...AXES.map((axis) => [axis, beer.intensity(axis)] as const),
      ['ibu', beer.bitterness('ibu')] as const,
      ...COMPOUNDS.map((c) => [c, beer.concentration(c)] as const),
    ];
    this.places = new Map(lines.map(([name], i) => [name, i]));
    const program = new Program(lines.map(([, line]) => line));
    this.slopes = new Slopes(program);
    const deliveries = new Map<Lot, string>();
    of.design.additions.forEach(({ lot }, i) => deliveries.set(lot, of.deliveries[i]!));
    this.sources = program.externals.map((external) => {
      if (external.kind === 'line') throw new Error('every line of a batch is worked out');
      const { input, value: central } = external;
      // A draw needs no correction from medians to the median of sums (sampling.ts).
      const isMiddle = input.of === PARAMETERS && input.name.startsWith(MIDDLES);
      return unknowns.sourceOf(input, isMiddle ? 1 : central, deliveries);
    });
  }

  /** Computes all figures at these scores of the unknowns. */
  at(scores: Float64Array): void {
    this.slopes.at(this.sources.map((source) => source.value(scores)));
  }

  value(figure: FigureOf): number {
    return this.slopes.value(this.place(figure));
  }

  /** Slopes of a figure by the scores of the unknowns; for a lab figure, those of its logarithm. */
  row(figure: FigureOf, scores: Float64Array): SlopeRow {
    const row = new Float64Array(scores.length);
    const slopes = this.slopes.of(this.place(figure));
    this.sources.forEach((source, i) => {
      if (slopes[i] !== 0) source.add(slopes[i]!, scores, row);
    });
    return new SlopeRow(row, 'lab' in figure ? 1 / this.value(figure) : 1);
  }

  private place(figure: FigureOf): number {
    return this.places.get('axis' in figure ? figure.axis : figure.lab)!;
  }
}
