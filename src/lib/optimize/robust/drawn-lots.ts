// What the columns of a problem bring in many drawn lots at once: signals and bitterness per g/L, an array
// over the draws for each. Lots are drawn when they are first asked for, so that a search that looks
// at few hops waits for few draws. Parameters, thresholds and what tasters report stay as they are.
import { AXES } from '#shared/ids.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { drawnWorld } from '#engine/doubt/bands.ts';
import { drawLot, lotNames, type LotDraws } from '#engine/doubt/lot-sampling.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { effectsIn, type DrawnEffect } from '#engine/predict/effects.ts';
import { processOf, type Process } from '#engine/process/process.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';
import type { Values } from '#engine/symbols/program.ts';
import { fixedIn } from '#optimize/problem/fixed-additions.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { driversOf, maltOf, signalBase, type AxisDrivers } from '#optimize/problem/wish-rows.ts';
import { worldAt } from './scenarios.ts';

/** What a g/L of a column brings in every draw. */
export interface DrawnColumn {
  /** By axis of the problem: signal the load does not change, and before the load, by group; `null`: none. */
  readonly direct: readonly (Float64Array | null)[];
  readonly damped: readonly (readonly (Float64Array | null)[])[];
  /** mg/L alpha acids on their path, and IBU by humulinones. */
  readonly alpha: Float64Array | null;
  readonly plain: Float64Array | null;
}

/** What is there before any dose is chosen, in every draw. */
export interface DrawnBase {
  readonly base: readonly Float64Array[];
  readonly dampedBase: readonly (readonly Float64Array[])[];
  /** By bitter term: alpha acids of fixed additions, mg/L; and IBU by their humulinones. */
  readonly alpha: readonly Float64Array[];
  readonly plain: Float64Array;
}

export class DrawnLots {
  readonly count: number;
  /** Columns worked out so far. */
  made = 0;
  readonly bases: DrawnBase;
  private readonly problem: BlendProblem;
  private readonly process: Process;
  private readonly drivers: readonly AxisDrivers[];
  private readonly ofHumulinones: number;
  private readonly names: ReadonlyMap<Lot, string>;
  private readonly draws = new Map<Lot, LotDraws>();
  private readonly columns: (DrawnColumn | undefined)[];

  constructor(
    private readonly model: Model,
    brief: Brief,
    problem: BlendProblem,
    private readonly sampling: Sampling,
  ) {
    this.count = sampling.samples;
    this.problem = problem;
    this.process = processOf(model, brief.batch, brief.stages);
    const values = defaultValues(model);
    const { fixed, offers } = problem;
    this.drivers = driversOf(model, fixed, values);
    this.ofHumulinones = values['ibu.weight.humulinone'];
    this.names = lotNames(
      new Set([...offers.map((o) => o.lot), ...fixed.additions.map((a) => a.lot)]),
    );
    this.columns = Array(problem.columns.length);
    this.bases = this.basesOf(brief);
  }

  private basesOf(brief: Brief): DrawnBase {
    const { model, problem, count } = this;
    const { axes, fixed, bitter } = problem;
    const terms = bitter?.terms ?? [];
    const alpha = terms.map(() => new Float64Array(count));
    const plain = new Float64Array(count);
    const rows = axes.map(({ axis }) => AXES.indexOf(axis));
    const base = rows.map(() => new Float64Array(count));
    const dampedBase = rows.map(() => LOAD_GROUPS.map(() => new Float64Array(count)));
    if (fixed.additions.length === 0) {
      axes.forEach((row, a) => base[a]!.fill(row.base));
      return { base, dampedBase, alpha, plain };
    }
    const malt = maltOf(model, brief);
    const world = this.worldOf(fixed.additions.map((a) => a.lot));
    for (let k = 0; k < count; k += 1) {
      const there = fixedIn(this.process, brief, fixed.additions, worldAt(world, k));
      rows.forEach((row, a) => {
        const of = signalBase(this.drivers[row]!, row, malt, there);
        base[a]![k] = of.base;
        of.dampedBase.forEach((signal, g) => (dampedBase[a]![g]![k] = signal));
      });
      terms.forEach(({ stages }, i) => {
        for (const key of stages) alpha[i]![k]! += there.alpha.get(key) ?? 0;
      });
      plain[k] = this.ofHumulinones * there.humulinones;
    }
    return { base, dampedBase, alpha, plain };
  }

  private worldOf(lots: readonly Lot[]) {
    for (const lot of lots) {
      if (this.draws.has(lot)) continue;
      this.draws.set(lot, drawLot(this.model, lot, this.names.get(lot)!, this.sampling));
    }
    return drawnWorld(this.count, null, this.draws);
  }

  /** What a column brings. */
  column(j: number): DrawnColumn {
    const known = this.columns[j];
    if (known) return known;
    this.bring([j]);
    return this.columns[j]!;
  }

  /** Works out columns that are not yet known. */
  bring(asked: readonly number[]): void {
    const missing = asked.filter((j) => this.columns[j] === undefined);
    if (missing.length === 0) return;
    this.made += missing.length;
    const { columns, offers } = this.problem;
    const byStage = new Map<string, number[]>();
    for (const j of missing) {
      const { stage } = columns[j]!;
      if (stage === null) continue;
      const same = byStage.get(stage);
      if (same) same.push(j);
      else byStage.set(stage, [j]);
    }
    for (const [stage, own] of byStage) {
      const lots = own.map((j) => offers[columns[j]!.lot]!.lot);
      const effects = effectsIn(this.process, lots, stage, this.worldOf(lots));
      own.forEach((j, k) => (this.columns[j] = this.drawn(j, effects[k]!)));
    }
  }

  private drawn(j: number, effect: DrawnEffect): DrawnColumn {
    const { problem, count } = this;
    const dry = problem.dry[j] === 1;
    const direct: (Float64Array | null)[] = [];
    const damped: (Float64Array | null)[][] = [];
    problem.axes.forEach(({ axis }) => {
      const row = AXES.indexOf(axis);
      const {
        compounds,
        direct: plain,
        damped: before,
        groups,
        leaf,
        reported,
      } = this.drivers[row]!;
      const still = new Sum(count);
      const taken = LOAD_GROUPS.map(() => new Sum(count));
      still.add(leaf, effect.leaf);
      if (dry) taken[reported.group]!.add(reported.damped, effect.reported[row]!);
      else still.add(reported.direct, effect.reported[row]!);
      compounds.forEach((c, k) => {
        if (dry) taken[groups[k]!]!.add(before[k]!, effect.compounds[c]!);
        else still.add(plain[k]!, effect.compounds[c]!);
      });
      direct.push(still.values);
      damped.push(taken.map((t) => t.values));
    });
    const alpha = new Sum(count);
    alpha.add(1, effect.alpha);
    const ibu = new Sum(count);
    ibu.add(this.ofHumulinones, effect.humulinones);
    return { direct, damped, alpha: alpha.values, plain: ibu.values };
  }
}

/** A weighted sum over all draws; `null` while it is nothing. */
class Sum {
  values: Float64Array | null = null;

  constructor(private readonly count: number) {}

  add(weight: number, more: Values): void {
    if (weight === 0 || more === 0) return;
    const values = (this.values ??= new Float64Array(this.count));
    if (typeof more === 'number') {
      const by = weight * more;
      for (let k = 0; k < values.length; k += 1) values[k]! += by;
    } else for (let k = 0; k < values.length; k += 1) values[k]! += weight * more[k]!;
  }
}
