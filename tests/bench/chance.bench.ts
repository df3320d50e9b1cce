// How soon a blend is found that holds in 80 % of drawn lots, and how far from proof it is, in processor time: the
// three seed briefs of most wishes and twenty drawn ones over the hops of the table. Beside it what random moves find
// and what a general program (chance-program.ts) proves on the same draws from our blend in CHANCE_PROGRAM seconds of
// the wall (0: it is not asked). CHANCE_FROM, CHANCE_BRIEFS and CHANCE_SECONDS shorten a run.
import { bench, describe } from 'vitest';
import { quantileSorted } from 'simple-statistics';
import type { Brief } from '#shared/schemas/brief.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { model } from '#engine/tables/model.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { meetsLimits, objectiveOf, overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { ChanceDraws } from '#optimize/robust/chance-draws.ts';
import { ChanceSearch } from '#optimize/robust/chance-search.ts';
import { DrawnLots } from '#optimize/robust/drawn-lots.ts';
import { DrawnJudge } from '#optimize/robust/judging.ts';
import { Search } from '#optimize/search/search.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { soundProblem } from '../optimize/support/instances.ts';
import { tableBrief } from '../optimize/support/table-briefs.ts';
import { byGeneralProgram } from './chance-program.ts';

const SHARE = 0.8;
const SEEDED = ['tropical', 'hazy', 'resin-led'];
const DRAWN = 20;
/** Of a blend lighter than this one weighing step is more than 5 %. */
const LEAST_GRAMS = 20;
const MOVES = 20_000;
const SECONDS = Number(process.env.CHANCE_SECONDS ?? 10);
const FROM = Number(process.env.CHANCE_FROM ?? 0);
const COUNT = Number(process.env.CHANCE_BRIEFS ?? SEEDED.length + DRAWN);
const PROGRAM_SECONDS = Number(process.env.CHANCE_PROGRAM ?? 120);
const FRESH = { samples: 2000, seed: 977 };

function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

interface MiddleOf {
  readonly name: string;
  readonly brief: Brief;
  readonly problem: BlendProblem;
  readonly doses: Doses;
  readonly bound: number;
}

function middleOf(name: string, brief: Brief): MiddleOf | null {
  const problem = soundProblem(brief);
  const search = new Search(problem, 'objective', 0, 0);
  const until = processorMs() + 3000;
  while (search.step() && processorMs() < until);
  const { incumbent, bound } = search.state;
  return incumbent && { name, brief, problem, doses: incumbent.doses, bound };
}

function middles(): MiddleOf[] {
  const found = SEEDED.flatMap(
    (id) => middleOf(id, SEED_BRIEFS.find((s) => s.id === id)!.brief) ?? [],
  );
  for (let seed = 1; found.length < Math.min(FROM + COUNT, SEEDED.length + DRAWN); seed += 1) {
    const middle = middleOf(`drawn ${seed}`, tableBrief(seed));
    if (middle && objectiveOf(middle.problem, middle.doses) >= LEAST_GRAMS) found.push(middle);
  }
  return found.slice(FROM, FROM + COUNT);
}

/** The best that random moves of one or two doses, or of a column, lead to from a blend that holds. */
function byRandomMoves(problem: BlendProblem, judge: DrawnJudge, start: Doses): number {
  const random = randomFrom(0.7);
  const pick = (n: number) => Math.floor(random.uniform() * n);
  const { step, least, columns } = problem;
  let at = new Map(start.columns.map((j, k) => [j, start.doses[k]!]));
  let weight = objectiveOf(problem, start);
  const shifted = (from: Map<number, number>, j: number, by: number) => {
    const dose = (from.get(j) ?? 0) + by;
    if (by > 0) from.set(j, Math.max(dose, least));
    else if (dose < least * (1 - 1e-9)) from.delete(j);
    else from.set(j, dose);
  };
  for (let i = 0; i < MOVES; i += 1) {
    const to = new Map(at);
    const inside = [...to.keys()];
    for (let moves = 1 + pick(3); moves > 0; moves -= 1) {
      const j = random.uniform() < 0.8 ? inside[pick(inside.length)]! : pick(columns.length);
      shifted(to, j, (random.uniform() < 0.5 ? -1 : 1) * (1 + pick(8)) * step);
    }
    const doses = { columns: [...to.keys()], doses: [...to.values()] };
    const objective = objectiveOf(problem, doses);
    if (objective > weight + 1e-9 || !meetsLimits(problem, doses)) continue;
    if (overshoot(problem, doses, 0) > TOLERANCE) continue;
    if (judge.judge(doses).held < judge.needed) continue;
    [at, weight] = [to, objective];
  }
  return weight;
}

interface Measured {
  readonly first: number;
  readonly gap: number;
  readonly fresh: number;
  readonly beaten: number;
  readonly held: number;
}

function measured({ name, brief, problem, doses, bound }: MiddleOf): Measured | null {
  const start = processorMs();
  const draws = new ChanceDraws(model, brief, problem);
  const search = new ChanceSearch(draws, SHARE, { doses, bound });
  let [first, longest] = [NaN, 0];
  for (let more = true; more && processorMs() - start < SECONDS * 1000;) {
    const before = processorMs();
    more = search.step();
    longest = Math.max(longest, processorMs() - before);
    if (Number.isNaN(first) && search.incumbent) first = processorMs() - start;
  }
  const { best, bound: proven, done, shareAtMost } = search.state;
  const middle = objectiveOf(problem, doses).toFixed(0);
  if (!best) {
    console.log(`${name}: middle ${middle} g, none found; at most ${100 * shareAtMost} % of draws`);
    return null;
  }
  const weight = best.score.objective;
  const gap = 100 * (1 - proven / weight);
  const drawn = new DrawnLots(model, brief, problem, FRESH);
  const freshJudge = new DrawnJudge(problem, drawn, 1);
  const heldIn = (blend: Doses) => freshJudge.judge(blend).held / FRESH.samples;
  const fresh = heldIn(best.doses);
  const moved = byRandomMoves(problem, search.judge, best.doses);
  const program = PROGRAM_SECONDS
    ? byGeneralProgram(problem, search.judge, best.doses, PROGRAM_SECONDS)
    : null;
  const general = program ? objectiveOf(problem, program.best) : Infinity;
  const beaten = 100 * (1 - Math.min(moved, general) / weight);
  const byProgram = program
    ? `${general.toFixed(1)} g, bound ${program.bound.toFixed(1)} g, ${program.refused} that do not hold, ` +
      `fresh ${heldIn(program.best).toFixed(3)}, in ${program.seconds.toFixed(0)} s`
    : 'not asked';
  console.log(
    `${name}: middle ${middle} g, many ${weight.toFixed(0)} g, first after ${first.toFixed(0)} ms, ` +
      `bound ${proven.toFixed(0)} g, gap ${gap.toFixed(1)} %${done ? ' (all looked at)' : ''}, ` +
      `fresh ${fresh.toFixed(3)}, random moves ${moved.toFixed(0)} g, general program ${byProgram}, longest step ${longest.toFixed(0)} ms`,
  );
  return { first, gap, fresh, beaten, held: longest };
}

function summary(name: string, values: readonly number[], unit: string): void {
  const sorted = [...values].sort((a, b) => a - b);
  const [least, median, p95] = [0, 0.5, 0.95].map((p) => quantileSorted(sorted, p).toFixed(2));
  console.log(`${name}: least ${least}, median ${median}, 95 % ${p95} ${unit} (${sorted.length})`);
}

describe(`a blend that holds in ${100 * SHARE} % of drawn lots, ${SECONDS} s a brief`, () => {
  const all = middles();
  const runs = all.flatMap((middle) => measured(middle) ?? []);
  summary(
    'first blend',
    runs.map((r) => r.first),
    'ms',
  );
  summary(
    'gap',
    runs.map((r) => r.gap),
    '%',
  );
  summary(
    'share of fresh draws',
    runs.map((r) => r.fresh),
    '',
  );
  summary(
    'beaten by random moves or the general program by',
    runs.map((r) => r.beaten),
    '%',
  );

  bench('the drawing of all lots', () => {
    const { brief, problem } = all[0]!;
    new DrawnLots(model, brief, problem, FRESH).bring([...problem.columns.keys()]);
  });
});
