// The linear rows that hold for every blend whose total dry-hop load D lies in [from, to], and that
// hold exactly when from = to. Nothing here is an approximation of the answer: a row may be wider
// than the truth, never narrower, so every bound that follows from these rows is valid.
//
// Signals. With f_g(D) = 1/(1 + D/h_g) falling, q_g = damped.x and D = dry.x linear in x:
//   f_g(to) q_g = w_g (1 - k_g (to - D))    with w_g = f_g(D) q_g the true part, k_g = 1/(h_g + to)
//   f_g(from) q_g = w_g (1 + k_g (D - from))                                     k_g = 1/(h_g + from)
// Bounding the sum of the parts by the wish, and single parts by the interval's ends, gives for any
// reference k >= 0 one valid row per side; k = 0 is the plain bound by the ends, k = k_g is exact at
// both ends for group g (McCormick's envelope of w D).
import type { LpRow } from './simplex.ts';
import { leastOf, type AxisRow, type BitterTerm, type BlendProblem } from './problem.ts';
import { IBU_PER_INTENSITY, signalWindow, type Doses } from './truth.ts';

/** Loads D a relaxation holds for, g/L. */
export interface Interval {
  readonly from: number;
  readonly to: number;
  /** Uses that can still matter at these loads; all where absent. */
  readonly columns?: Int32Array;
}

/** Which side of a capped bitter term counts where the IBU must stay below: see `ibuRows`. */
export type CapChoice = 'open' | 'linear' | 'capped';

/**
 * lower <= sum of factor*vector . x <= upper; infinite where a side is free. A moving bound is given
 * without the part that moves.
 */
export interface RowForm {
  readonly vectors: readonly Float64Array[];
  readonly factors: readonly number[];
  readonly lower: number;
  readonly upper: number;
}

/** A row by what it says, to be written out for an interval of loads. */
export interface RowSource {
  readonly name: string;
  /**
   * @param slackMost largest slack the row must hold for.
   */
  readonly form: (interval: Interval, slackMost: number, caps: readonly CapChoice[]) => RowForm;
  /** The bound that moves when the wishes are widened by a slack, and its moving part. */
  readonly moving: {
    readonly side: 'lower' | 'upper';
    readonly at: (slack: number) => number;
  } | null;
  /** Whether the row is the same for every interval. */
  readonly fixed: boolean;
  /** Whether it depends on the cap choices. */
  readonly capped: boolean;
  /** Whether it belongs in every program from the start. */
  readonly essential: boolean;
}

/** A row written out: scaled so that its largest coefficient is 1. */
export interface ScaledRow {
  readonly coef: Float64Array;
  readonly scale: number;
  /** Least and most the columns can make of it. */
  readonly least: number;
  readonly most: number;
  readonly form: RowForm;
}

/** References k for the rows of one axis: 0 and one per load group that drives it. */
function groupsOf(row: AxisRow): number[] {
  return row.damped.flatMap((d, g) => (row.dampedBase[g]! > 0 || d.some((v) => v > 0) ? [g] : []));
}

/** What the kept dry hops bring under factors by load group. */
function fromKept({ dampedBase }: AxisRow, damping: readonly number[]): number {
  return dampedBase.reduce((sum, signal, g) => sum + signal * damping[g]!, 0);
}

function axisSources(problem: BlendProblem, row: AxisRow): RowSource[] {
  const { halfLoads, dry } = problem;
  const vectors = [row.direct, ...row.damped, dry];
  const factor = (g: number, load: number) => 1 / (1 + load / halfLoads[g]!);
  const references = [-1, ...groupsOf(row)];
  const low = (slack: number) => {
    const signal = signalWindow(problem, row, slack).low - row.base;
    return signal > 0 ? signal : -Infinity;
  };
  const high = (slack: number) => signalWindow(problem, row, slack).high - row.base;
  const sources: RowSource[] = [];
  if (row.low > -Infinity) {
    const least = Math.max(0, low(0));
    for (const reference of references) {
      sources.push({
        name: `${row.axis} at least`,
        moving: { side: 'lower', at: low },
        fixed: false,
        capped: false,
        essential: reference < 0,
        form: ({ from, to }) => {
          const k = reference < 0 ? 0 : 1 / (halfLoads[reference]! + to);
          const damping = row.damped.map((_, g) => {
            const own = 1 / (halfLoads[g]! + to);
            return factor(g, to) + (to - from) * Math.max(0, own - k) * factor(g, from);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * least],
            lower: -k * least * to - fromKept(row, damping),
            upper: Infinity,
          };
        },
      });
    }
  }
  if (row.high < Infinity) {
    for (const reference of references) {
      sources.push({
        name: `${row.axis} at most`,
        moving: { side: 'upper', at: high },
        fixed: false,
        capped: false,
        essential: false,
        form: ({ from, to }, slackMost) => {
          const k = reference < 0 ? 0 : 1 / (halfLoads[reference]! + from);
          const most = Math.max(0, high(slackMost));
          const damping = row.damped.map((_, g) => {
            const own = 1 / (halfLoads[g]! + from);
            return factor(g, from) - (to - from) * Math.max(0, own - k) * factor(g, to);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * most],
            lower: -Infinity,
            upper: -k * most * from - fromKept(row, damping),
          };
        },
      });
    }
  }
  return sources;
}

/** Share kept of hot bitterness below which the sloped rows would say nothing. */
const LEAST_KEPT = 1e-6;

/** A row that says nothing. */
function free(vectors: readonly Float64Array[]): RowForm {
  return { vectors, factors: vectors.map(() => 0), lower: -Infinity, upper: Infinity };
}

/**
 * Bitterness. min(alpha.x, cap) is concave: IBU at least L means every choice of {alpha.x, cap} per
 * term gives at least L (one row each); IBU at most U means some choice gives at most U, so the
 * search decides term by term, and an undecided term counts with its chord over the doses possible.
 * exp(-a D) is convex in D: chord above it, tangent below it, as the side asks.
 */
function bitterSources(problem: BlendProblem): RowSource[] {
  const { bitter, dry } = problem;
  if (!bitter) return [];
  const { terms, base, plain, atLeast, atMost, adsorption } = bitter;
  const vectors = [plain, ...terms.map((t) => t.alpha), dry];
  const kept = (load: number) => Math.exp(-adsorption * load);
  const sources: RowSource[] = [];
  if (atLeast !== undefined) {
    const low = (slack: number) => {
      const ibu = atLeast - IBU_PER_INTENSITY * slack;
      return ibu > 0 ? ibu : -Infinity;
    };
    for (let choice = 0; choice < 1 << terms.length; choice += 1) {
      for (const sloped of [false, true]) {
        sources.push({
          name: 'IBU at least',
          moving: { side: 'lower', at: low },
          fixed: false,
          capped: false,
          essential: false,
          form: ({ from, to }) => {
            if (sloped && kept(to) < LEAST_KEPT) return free(vectors);
            // Adsorbed IBU before adsorption beyond `enough` meets the wish alone.
            const enough = atLeast / kept(to);
            const factorHot = sloped ? kept(to) : kept(from);
            const chord =
              sloped && to > from ? (enough * (kept(from) - kept(to))) / (to - from) : 0;
            let constant = base;
            const factors = terms.map((term, i) => {
              const hot = term.adsorbed ? factorHot : 1;
              constant += term.weight * term.base * hot;
              if ((choice >> i) & 1) {
                constant += term.weight * term.cap * hot;
                return 0;
              }
              return term.weight * hot;
            });
            return {
              vectors,
              factors: [1, ...factors, -chord],
              lower: -constant - chord * to,
              upper: Infinity,
            };
          },
        });
      }
    }
  }
  if (atMost !== undefined) {
    const high = (slack: number) => atMost + IBU_PER_INTENSITY * slack;
    for (const sloped of [false, true]) {
      sources.push({
        name: 'IBU at most',
        moving: { side: 'upper', at: high },
        fixed: false,
        capped: true,
        essential: false,
        form: ({ from, to }, slackMost, caps) => {
          if (sloped && kept(to) < LEAST_KEPT) return free(vectors);
          const mostHot = high(slackMost) / kept(to);
          const factorHot = sloped ? kept(from) : kept(to);
          const tangent = sloped ? adsorption * kept(from) * mostHot : 0;
          let constant = base;
          const factors = terms.map((term, i) => {
            const hot = term.adsorbed ? factorHot : 1;
            constant += term.weight * term.base * hot;
            if (caps[i] === 'capped') {
              constant += term.weight * term.cap * hot;
              return 0;
            }
            if (caps[i] === 'linear') return term.weight * hot;
            const most = alphaMost(problem, term.alpha, to);
            return most > 0 ? term.weight * hot * Math.min(1, term.cap / most) : 0;
          });
          return {
            vectors,
            factors: [1, ...factors, -tangent],
            lower: -Infinity,
            upper: -constant - tangent * from,
          };
        },
      });
    }
  }
  return sources;
}

/** IBU by which the chord of an undecided term undervalues a blend whose load is `load`. */
export function chordShare(
  problem: BlendProblem,
  { alpha, cap, weight, adsorbed }: BitterTerm,
  { uses, doses }: Doses,
  { to }: Interval,
  load: number,
): number {
  let held = 0;
  uses.forEach((j, k) => (held += alpha[j]! * doses[k]!));
  if (held === 0) return 0;
  const chord = held * Math.min(1, cap / alphaMost(problem, alpha, to));
  const kept = adsorbed ? Math.exp(-problem.bitter!.adsorption * load) : 1;
  return weight * kept * (Math.min(held, cap) - chord);
}

/** Most alpha acids a term can hold, mg/L, when the dry-hop load is at most `load`. */
function alphaMost(problem: BlendProblem, alpha: Float64Array, load: number): number {
  let byUse = 0;
  let strongest = 0;
  let dryOnly = true;
  alpha.forEach((a, j) => {
    byUse += a * problem.uses[j]!.most;
    strongest = Math.max(strongest, a);
    if (a > 0 && problem.dry[j] === 0) dryOnly = false;
  });
  return dryOnly ? Math.min(byUse, strongest * load) : byUse;
}

function indicator(n: number, ones: readonly number[]): Float64Array {
  const vector = new Float64Array(n);
  for (const j of ones) vector[j] = 1;
  return vector;
}

/** All rows of a problem in fixed order; a search activates those that bind. */
export class RowPool {
  readonly sources: readonly RowSource[];
  /** First of the rows "variety v is used", one per variety. */
  readonly firstVariety: number;
  private readonly problem: BlendProblem;

  constructor(problem: BlendProblem) {
    this.problem = problem;
    const n = problem.uses.length;
    const plain = { moving: null, capped: false, essential: false };
    const load: RowSource = {
      ...plain,
      name: 'dry-hop load',
      fixed: false,
      essential: true,
      form: ({ from, to }) => ({ vectors: [problem.dry], factors: [1], lower: from, upper: to }),
    };
    const limits = problem.limits.map(({ name, coef, most }): RowSource => {
      const form = { vectors: [coef], factors: [1], lower: -Infinity, upper: most };
      return { ...plain, name, fixed: true, form: () => form };
    });
    const varieties = problem.usesOf.map((uses, v): RowSource => {
      const form = () => ({
        vectors: [indicator(n, uses)],
        factors: [1],
        lower: leastOf(problem, v),
        upper: Infinity,
      });
      return { ...plain, name: `use of ${problem.varieties[v]}`, fixed: true, form };
    });
    const wishes = problem.axes.flatMap((row) => axisSources(problem, row));
    const before = [load, ...wishes, ...bitterSources(problem), ...limits];
    this.firstVariety = before.length;
    this.sources = [...before, ...varieties];
  }

  /** Writes a row out over some of the uses; all where none are named. */
  written(form: RowForm, columns?: Int32Array): ScaledRow {
    const { uses } = this.problem;
    const n = uses.length;
    const count = columns ? columns.length : n;
    const coef = new Float64Array(n);
    form.vectors.forEach((vector, v) => {
      const factor = form.factors[v]!;
      if (factor === 0) return;
      for (let k = 0; k < count; k += 1) {
        const j = columns ? columns[k]! : k;
        coef[j]! += factor * vector[j]!;
      }
    });
    let largest = 0;
    for (let k = 0; k < count; k += 1) {
      largest = Math.max(largest, Math.abs(coef[columns ? columns[k]! : k]!));
    }
    const scale = largest > 0 ? 1 / largest : 1;
    let least = 0;
    let most = 0;
    for (let k = 0; k < count; k += 1) {
      const j = columns ? columns[k]! : k;
      coef[j]! *= scale;
      const reach = coef[j]! * uses[j]!.most;
      if (reach < 0) least += reach;
      else most += reach;
    }
    return { coef, scale, least, most, form };
  }

  /** The row with its bounds at a slack; a bound out of the columns' reach stays out of it. */
  bounded({ coef, scale, least, most, form }: ScaledRow, r: number, slack: number): LpRow {
    const { moving } = this.sources[r]!;
    let { lower, upper } = form;
    if (moving?.side === 'lower') lower += moving.at(slack);
    else if (moving) upper += moving.at(slack);
    return {
      coef,
      lower: Math.min(Math.max(lower * scale, least - 1), most + 1),
      upper: Math.max(Math.min(upper * scale, most + 1), least - 1),
    };
  }

  /** The row bound by nothing. */
  unbound({ coef, least, most }: ScaledRow): LpRow {
    return { coef, lower: least - 1, upper: most + 1 };
  }
}
