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
}

/** Which side of a capped bitter term counts where the IBU must stay below: see `ibuRows`. */
export type CapChoice = 'open' | 'linear' | 'capped';

/** lower <= sum of factor*vector . x <= upper; infinite where a side is free. */
export interface RowForm {
  readonly vectors: readonly Float64Array[];
  readonly factors: readonly number[];
  readonly lower: number;
  readonly upper: number;
}

/** A row by what it says; `at` evaluates it for an interval and a slack of the wishes. */
export interface RowSource {
  readonly name: string;
  readonly form: (
    interval: Interval,
    slack: number,
    slackMost: number,
    caps: readonly CapChoice[],
  ) => RowForm;
  /** Whether the row's bounds move with the slack. */
  readonly wish: boolean;
  /** Whether coefficients depend on the cap choices. */
  readonly capped: boolean;
  /** Whether the row belongs in every program from the start. */
  readonly essential: boolean;
}

/** A row's coefficients, scaled to at most 1, and what the columns can make of it. */
export interface ScaledRow {
  readonly row: LpRow;
  readonly scale: number;
  readonly least: number;
  readonly most: number;
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
  const sources: RowSource[] = [];
  if (row.low > -Infinity) {
    for (const reference of references) {
      sources.push({
        name: `${row.axis} at least`,
        wish: true,
        capped: false,
        essential: reference < 0,
        form: ({ from, to }, slack) => {
          const k = reference < 0 ? 0 : 1 / (halfLoads[reference]! + to);
          const least = Math.max(0, signalWindow(problem, row, 0).low - row.base);
          const now = signalWindow(problem, row, slack).low - row.base;
          const damping = row.damped.map((_, g) => {
            const own = 1 / (halfLoads[g]! + to);
            return factor(g, to) + (to - from) * Math.max(0, own - k) * factor(g, from);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * least],
            lower: now <= 0 ? -Infinity : now - k * least * to - fromKept(row, damping),
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
        wish: true,
        capped: false,
        essential: false,
        form: ({ from, to }, slack, slackMost) => {
          const k = reference < 0 ? 0 : 1 / (halfLoads[reference]! + from);
          const most = Math.max(0, signalWindow(problem, row, slackMost).high - row.base);
          const now = signalWindow(problem, row, slack).high - row.base;
          const damping = row.damped.map((_, g) => {
            const own = 1 / (halfLoads[g]! + from);
            return factor(g, from) - (to - from) * Math.max(0, own - k) * factor(g, to);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * most],
            lower: -Infinity,
            upper: now - k * most * from - fromKept(row, damping),
          };
        },
      });
    }
  }
  return sources;
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
    for (let choice = 0; choice < 1 << terms.length; choice += 1) {
      for (const sloped of [false, true]) {
        sources.push({
          name: 'IBU at least',
          wish: true,
          capped: false,
          essential: false,
          form: ({ from, to }, slack) => {
            const wanted = atLeast - IBU_PER_INTENSITY * slack;
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
              lower: wanted <= 0 ? -Infinity : wanted - constant - chord * to,
              upper: Infinity,
            };
          },
        });
      }
    }
  }
  if (atMost !== undefined) {
    for (const sloped of [false, true]) {
      sources.push({
        name: 'IBU at most',
        wish: true,
        capped: true,
        essential: false,
        form: ({ from, to }, slack, slackMost, caps) => {
          const wanted = atMost + IBU_PER_INTENSITY * slack;
          const mostHot = (atMost + IBU_PER_INTENSITY * slackMost) / kept(to);
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
            upper: wanted - constant - tangent * from,
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
  /** First of the rows "variety v is used": one per variety, lower bound set by the search. */
  readonly firstVariety: number;
  private readonly problem: BlendProblem;

  constructor(problem: BlendProblem) {
    this.problem = problem;
    const n = problem.uses.length;
    const fixed = (name: string, vector: Float64Array, upper: number): RowSource => ({
      name,
      wish: false,
      capped: false,
      essential: false,
      form: () => ({ vectors: [vector], factors: [1], lower: -Infinity, upper }),
    });
    const load: RowSource = {
      name: 'dry-hop load',
      wish: false,
      capped: false,
      essential: false,
      form: ({ from, to }) => ({ vectors: [problem.dry], factors: [1], lower: from, upper: to }),
    };
    const before = [
      load,
      ...problem.axes.flatMap((row) => axisSources(problem, row)),
      ...bitterSources(problem),
      ...problem.limits.map(({ name, coef, most }) => fixed(name, coef, most)),
    ];
    this.firstVariety = before.length;
    this.sources = [
      ...before,
      ...problem.usesOf.map((uses, v) => ({
        name: `use of ${problem.varieties[v]}`,
        wish: false,
        capped: false,
        essential: false,
        form: () => ({
          vectors: [indicator(n, uses)],
          factors: [1],
          lower: leastOf(problem, v),
          upper: Infinity,
        }),
      })),
    ];
  }

  /** The row in the program's form: scaled so that its largest coefficient is 1, in a finite box. */
  materialise(form: RowForm): ScaledRow {
    const { uses } = this.problem;
    const coef = new Float64Array(uses.length);
    form.vectors.forEach((vector, v) => {
      const factor = form.factors[v]!;
      if (factor !== 0) for (let j = 0; j < coef.length; j += 1) coef[j]! += factor * vector[j]!;
    });
    let largest = 0;
    for (const c of coef) largest = Math.max(largest, Math.abs(c));
    const scale = largest > 0 ? 1 / largest : 1;
    let least = 0;
    let most = 0;
    for (let j = 0; j < coef.length; j += 1) {
      coef[j]! *= scale;
      const reach = coef[j]! * uses[j]!.most;
      if (reach < 0) least += reach;
      else most += reach;
    }
    const scaled = { row: { coef, lower: 0, upper: 0 }, scale, least, most };
    return { ...scaled, row: this.bounded(scaled, form) };
  }

  /** The same coefficients with other bounds; a bound out of the columns' reach stays out of it. */
  bounded({ row, scale, least, most }: ScaledRow, form: RowForm): LpRow {
    const lower = Math.min(Math.max(form.lower * scale, least - 1), most + 1);
    const upper = Math.max(Math.min(form.upper * scale, most + 1), least - 1);
    return { coef: row.coef, lower, upper };
  }
}
