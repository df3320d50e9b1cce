// Which wishes and limits clash when no blend meets a brief: a set that cannot be met together though
// it can without any one of its members, and for each member the least change of it alone that lets
// the whole brief be met. Each statement is proven by a search over all doses, hops and dry-hop loads.
import { isBitterness, wishPath, type WishSubject } from '#shared/answers/wish-subject.ts';
import type { Clash, ClashMember } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/tables/model.ts';
import { withUsualDoses } from '#optimize/problem/usual-doses.ts';
import { membersOf, withLimits, type Member } from './iis-members.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { Clock, Resting } from '#optimize/pacing/clock.ts';
import { Search } from '#optimize/search/search.ts';

/** Subsets looked at when a smaller clash is sought. */
const SUBSETS_MAX = 300;
/**
 * Nodes after which one question is left undecided: where a wish is all but out of reach, whole
 * weighing steps can keep a search going for ever. Seen: tens to thousands.
 */
const NODES_MAX = 20_000;

/** `null`: not decided in time, or in so many nodes. */
type Possible = boolean | null;

/** Whether some blend meets a brief. */
export function* meetable(model: Model, brief: Brief, clock: Clock): Resting<Possible> {
  const stated = yield* stating(model, brief);
  // A brief that cannot even be stated (a required hop without room) cannot be met.
  if (!stated.ok) return false;
  const search = new Search(stated.value, 'objective', 0, 0);
  while (search.step()) {
    if (search.incumbent) return true;
    if (clock.over || search.nodes > NODES_MAX) return null;
    yield;
  }
  return search.incumbent !== null;
}

function onlyThese(brief: Brief, members: readonly Member[], kept: readonly Member[]): Brief {
  return members.filter((m) => !kept.includes(m)).reduce((b, m) => m.without(b), brief);
}

function isWeighingStep(of: WishSubject): boolean {
  return of.kind === 'limit' && of.limit === 'weigh_step_g';
}

/** Whether a member of an answer's clash is this one. */
function isMember({ of, side }: Member, named: ClashMember): boolean {
  return wishPath(of) === named.wish && side === named.side;
}

function* subsets(members: readonly Member[], size: number, from = 0): Generator<Member[]> {
  if (size === 0) {
    yield [];
    return;
  }
  for (let i = from; i <= members.length - size; i += 1) {
    for (const rest of subsets(members, size - 1, i + 1)) yield [members[i]!, ...rest];
  }
}

function choose(n: number, k: number): number {
  let ways = 1;
  for (let i = 0; i < k; i += 1) ways = (ways * (n - i)) / (i + 1);
  return ways;
}

/** The least change of one member that lets the brief be met, all else kept. */
function* leastChange(
  model: Model,
  brief: Brief,
  { of, side, asked, without, at, idle, width, whole }: Member,
  clock: Clock,
): Resting<ClashMember> {
  const common = { wish: wishPath(of), side, asked };
  const alone = yield* meetable(model, without(brief), clock);
  if (alone !== true || !at || asked === null) {
    return { ...common, holds_at: null, fails_at: null, enough_alone: alone };
  }
  const holds = (figure: number, stepped: boolean) => {
    const limits = stepped ? brief.limits : withLimits(brief, { weigh_step_g: undefined }).limits;
    return meetable(model, at({ ...brief, limits }, figure), clock);
  };
  const direction = idle > asked ? 1 : -1;
  let fails = asked;
  let good: number | null = null;
  // First with free doses, which is quick: what fails there fails with whole steps.
  const stages =
    brief.limits.weigh_step_g === undefined || isWeighingStep(of) ? [true] : [false, true];
  for (const stepped of stages) {
    good = null;
    let by = width;
    for (;;) {
      const figure = fails + direction * by;
      const past = direction > 0 ? figure >= idle : figure <= idle;
      const tried = whole ? Math.round(past ? idle : figure) : past ? idle : figure;
      const answer = yield* holds(tried, stepped);
      if (answer === null) break;
      if (answer) {
        good = tried;
        break;
      }
      fails = tried;
      if (past) break;
      by *= 2;
    }
    while (good !== null && Math.abs(good - fails) > width * (1 + 1e-9)) {
      const middle = whole ? Math.round((good + fails) / 2) : (good + fails) / 2;
      const answer = yield* holds(middle, stepped);
      if (answer === null) break;
      if (answer) good = middle;
      else fails = middle;
    }
  }
  return { ...common, holds_at: good, fails_at: fails, enough_alone: true };
}

/** The clash of a brief that no blend meets; `null` where that was not proven in time. */
export function* clashing(model: Model, asked: Brief, clock: Clock): Resting<Clash | null> {
  const limits = withUsualDoses(model, asked.limits, { ...asked, additions: asked.keep ?? [] });
  const brief = { ...asked, limits };
  const members = membersOf(brief);
  const impossible = function* (kept: readonly Member[]): Resting<Possible> {
    const answer = yield* meetable(model, onlyThese(brief, members, kept), clock);
    return answer === null ? null : !answer;
  };
  let clash = members;
  // Everything but the wishes and the bitterness at once, where that can be done.
  const plain = members.filter(({ of }) => of.kind === 'axis' || isBitterness(of));
  if ((yield* impossible(plain)) === true) clash = plain;
  else if ((yield* impossible(members)) !== true) return null;
  let irreducible = true;
  for (const member of [...clash]) {
    const without = clash.filter((m) => m !== member);
    const answer = yield* impossible(without);
    if (answer === true) clash = without;
    else if (answer === null) irreducible = false;
  }
  let smallest = irreducible;
  for (let size = 1; size < clash.length && smallest; size += 1) {
    if (choose(members.length, size) > SUBSETS_MAX) {
      smallest = false;
      break;
    }
    for (const subset of subsets(members, size)) {
      const answer = yield* impossible(subset);
      if (answer === null) smallest = false;
      if (answer !== true) continue;
      clash = subset;
      break;
    }
  }
  const found: ClashMember[] = [];
  for (const member of clash) found.push(yield* leastChange(model, brief, member, clock));
  return { members: found, irreducible, smallest };
}

/** The brief with only the wishes and limits of a clash, less those named; to check a clash by. */
export function briefOfClash(
  brief: Brief,
  clash: Clash,
  except: readonly ClashMember[] = [],
): Brief {
  const members = membersOf(brief);
  const isOf = (m: Member, list: readonly ClashMember[]) => list.some((c) => isMember(m, c));
  return onlyThese(
    brief,
    members,
    members.filter((m) => isOf(m, clash.members) && !isOf(m, except)),
  );
}

/** The brief with one member of a clash moved to another figure, all else kept. */
export function briefWith(brief: Brief, member: ClashMember, figure: number): Brief {
  const found = membersOf(brief).find((m) => isMember(m, member));
  if (!found?.at) throw new Error(`${member.wish} cannot be moved`);
  return found.at(brief, figure);
}
