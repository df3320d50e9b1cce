// Which of several blends that are equally good is shown: the one of the fewest hops; of those the
// cheapest, or, where prices are missing or have decided already, the one of the fewest additions of
// the same hops; the lightest where opened packages leave the weight open. Each question is a search of its
// own below the best blend's objective, of few nodes: where it finds nothing, the blend stays as it is.
import { run, type Run, type RunBudget, type Work } from '#optimize/pacing/clock.ts';
import { buysPackages } from '#optimize/problem/packages.ts';
import { leastOf, type BlendProblem, type LinearLimit } from '#optimize/problem/problem.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';
import type { Incumbent } from './incumbent.ts';
import { Search } from './search.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/**
 * Blends this close in the objective are equally good, as a fraction: far below half a weighing step,
 * above the rounding of sums.
 */
const EQUAL = 1e-6;
/** Share of the nodes the best blend took that one question may take. */
const NODES_SHARE = 0.2;
/** Work that is always allowed, in nodes times columns: 28 nodes of a large hop table. */
const WORK_LEAST = 20_000;

/** Time and work that breaking a tie may take. */
export interface TieRoom<Progress> extends RunBudget<Progress> {
  /** Nodes looked at for the best blend. */
  readonly nodes: number;
}

function hopsIn({ columns }: BlendProblem, doses: Doses): number {
  return new Set(doses.columns.map((j) => columns[j]!.variety)).size;
}

function equalTo(merit: number): number {
  return merit * (1 + EQUAL);
}

/** Runs a search to its end or its first blend, but for no more than its nodes. */
function* asked<P>(
  search: Search,
  { clock, until, nodes, progress }: TieRoom<P>,
  end: 'first' | 'best',
): Run<P, Incumbent | null> {
  const most = Math.max(WORK_LEAST / search.problem.columns.length, nodes * NODES_SHARE);
  const work: Work = {
    get incumbent() {
      return search.incumbent;
    },
    step: () =>
      search.nodes < most && search.step() && !(end === 'first' && search.incumbent !== null),
  };
  if (!clock.over) yield* run(clock, work, until, progress);
  return search.incumbent;
}

/** As good a blend of fewer hops than `count`, the fewest that is found. */
function* fewestHops<P>(
  problem: BlendProblem,
  best: Incumbent,
  count: number,
  room: TieRoom<P>,
): Run<P, Incumbent> {
  const fewest = Math.max(1, problem.required.length);
  let found = best;
  for (let hops = count - 1; hops >= fewest;) {
    const search = new Search({ ...problem, hopsAtMost: hops }, 'objective', 0, 0);
    search.ceiling = equalTo(found.merit);
    const fewer = yield* asked(search, room, 'first');
    if (!fewer) break;
    found = fewer.merit < found.merit ? fewer : { ...fewer, merit: found.merit };
    hops = hopsIn(problem, fewer.doses) - 1;
  }
  return found;
}

/** Cost per g/L of each column, money for the whole batch; `null` where a gram of a lot has no price. */
function costOf({ columns, offers, beerL }: BlendProblem): Float64Array | null {
  // A gram has no price where whole packages are bought.
  if (offers.some((o) => o.lot.packageG !== null)) return null;
  const prices = columns.map(({ lot }) => offers[lot]!.lot.pricePerKg);
  if (prices.includes(null)) return null;
  return Float64Array.from(prices, (price) => (price! / 1000) * beerL);
}

/** Weight where packages leave it open: a gram more of an opened one costs nothing. */
function leftOpen(problem: BlendProblem): Float64Array | null {
  if (!buysPackages(problem)) return null;
  return Float64Array.from(problem.columns, (c) => (c.stage === null ? 0 : problem.beerL));
}

function holding({ objective }: BlendProblem, merit: number): LinearLimit {
  return { of: { kind: 'objective' }, coef: objective, most: equalTo(merit), taken: 0 };
}

/** As good a blend of no more hops with less of another figure. */
function* withLeast<P>(
  problem: BlendProblem,
  figure: Float64Array,
  best: Incumbent,
  room: TieRoom<P>,
): Run<P, Incumbent> {
  const limits = [...problem.limits, holding(problem, best.merit)];
  const hopsAtMost = hopsIn(problem, best.doses);
  const priced = { ...problem, limits, hopsAtMost, objective: figure };
  const search = new Search(priced, 'objective', 0, 0);
  search.precision = 'fine';
  search.offer(best.doses);
  const found = yield* asked(search, room, 'best');
  return found ? { doses: found.doses, merit: best.merit } : best;
}

/** Each addition counted as if it were a hop of its own; required hops become limits. */
function byAddition(problem: BlendProblem): BlendProblem {
  const required = problem.required.map((v): LinearLimit => {
    const coef = Float64Array.from(problem.columns, (c) => (c.variety === v ? -1 : 0));
    const of = { kind: 'require', hop: problem.varieties[v]! } as const;
    return { of, coef, most: -leastOf(problem, v), taken: 0 };
  });
  return {
    ...problem,
    columns: problem.columns.map((column, j) => ({ ...column, variety: j })),
    varieties: problem.columns.map((column) => problem.varieties[column.variety]!),
    columnsOfVariety: problem.columns.map((_, j) => [j]),
    limits: [...problem.limits, ...required],
    formsPerHopAtMost: Infinity,
    required: [],
  };
}

/** The columns of the hops of a blend; where forms are few, of its forms of these hops. */
function likeThose(problem: BlendProblem, { columns: used }: Doses): number[] {
  const { columns, formsPerHopAtMost } = problem;
  const key = (j: number) => {
    const { variety, form } = columns[j]!;
    return formsPerHopAtMost === Infinity ? `${variety}` : `${variety}/${form}`;
  };
  const keys = new Set(used.map(key));
  return [...columns.keys()].filter((j) => keys.has(key(j)));
}

/** As good a blend of the same hops in fewer additions. */
function* fewestAdditions<P>(
  problem: BlendProblem,
  best: Incumbent,
  room: TieRoom<P>,
): Run<P, Incumbent> {
  if (buysPackages(problem)) return best;
  const { problem: same, inWhole } = restrictedToColumns(problem, likeThose(problem, best.doses));
  const found = yield* fewestHops(byAddition(same), best, best.doses.columns.length, room);
  return found === best ? best : { ...found, doses: inWhole(found.doses) };
}

/**
 * Breaks ties with a blend proven best: none that comes out has a higher objective (beyond rounding)
 * or more hops. Hears the clock and a stop, and then keeps what is found.
 */
export function* tieBroken<P>(
  problem: BlendProblem,
  best: Incumbent,
  room: TieRoom<P>,
): Run<P, Incumbent> {
  if (best.doses.columns.length === 0) return best;
  let found = yield* fewestHops(problem, best, hopsIn(problem, best.doses), room);
  const figure = problem.minimise === 'cost' ? leftOpen(problem) : costOf(problem);
  found = figure
    ? yield* withLeast(problem, figure, found, room)
    : yield* fewestAdditions(problem, found, room);
  return { doses: found.doses, merit: objectiveOf(problem, found.doses) };
}
