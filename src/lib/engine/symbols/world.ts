// Worlds in which terms are computed: the central figures, or many drawn or moved sets of figures at once.
import { Newest } from '#engine/tables/newest.ts';
import type { External } from './compiler.ts';
import { Program, Execution, type Values } from './program.ts';
import type { Input, Line, Term } from './term.ts';

/** Figures that differ from the central ones, in one world or in many at once. */
export interface World {
  readonly count: number;
  /** One value, or one for each world; `undefined`: the central value holds. */
  readonly valuesOf: (input: Input, central: number) => Values | undefined;
}

/** The defaults: central composition, default parameters and thresholds. */
export const CENTRAL: World = { count: 1, valuesOf: () => undefined };

/** The value in world `k`, where there may be one value for all worlds. */
export function at(values: Values, k: number): number {
  return typeof values === 'number' ? values : values[k]!;
}

/** The values as an array, one for each of `count` worlds. */
export function spread(values: Values, count: number): Float64Array {
  return typeof values === 'number' ? new Float64Array(count).fill(values) : values;
}

/** Executions that the next run of the same program in the same worlds continues; the newest are kept. */
const runs = new Newest<Evaluation, Program, Execution>(2);

/** What has been computed in a world. Lines marked as kept are computed once. */
export class Evaluation {
  readonly world: World;
  /** Entries are freed together with their lines. */
  private readonly kept = new WeakMap<Line, Values>();

  constructor(world: World) {
    this.world = world;
  }

  /**
   * Runs a program whose externals are inputs and kept lines.
   * @param over values for this run of figures that no kept line depends on, such as grams.
   */
  run(program: Program, over: World['valuesOf'] = () => undefined): Values[] {
    this.ensure(program);
    const valuesOf = (external: External) =>
      (external.kind === 'leaf' ? over(external.input, external.value) : undefined) ??
      this.valuesOf(external);
    return program.run(this.world.count, valuesOf);
  }

  /**
   * The same, continuing the last run of that program here: only what depends on the changed figures is
   * computed again. The next run overwrites the arrays that the caller gets.
   */
  again(program: Program, figureOf: (input: Input) => number): Values[] {
    const begun = () => {
      this.ensure(program);
      return new Execution(program, this.world.count, (external) => this.valuesOf(external));
    };
    return runs.of(this, program, begun).again(figureOf);
  }

  /** The values of some terms. */
  of(terms: readonly Term[]): Values[] {
    return this.run(new Program(terms, { isExternal: (line) => line.kept }));
  }

  private valuesOf(external: External): Values {
    if (external.kind === 'line') {
      return this.world === CENTRAL ? external.value : this.kept.get(external)!;
    }
    const { input, value } = external;
    return this.world.valuesOf(input, value) ?? value;
  }

  private ensure({ externals }: Program): void {
    if (this.world === CENTRAL) return;
    const missing = externals.filter((e) => e.kind === 'line' && !this.kept.has(e)) as Line[];
    if (missing.length === 0) return;
    const values = this.of(missing);
    missing.forEach((line, i) => this.kept.set(line, values[i]!));
  }
}
