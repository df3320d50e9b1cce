// Which wishes and limits clash when no blend meets a brief: a set that cannot be met together though
// it can without any one of its members, and for each member the least change of it alone that lets
// the whole brief be met. Every word of it is a solve over all doses, hops and dry-hop loads.
import type { Clash, ClashMember, WishSide } from '#shared/answer.ts';
import { AXES, STAGES } from '#shared/ids.ts';
import { INTENSITY_MAX, type Brief, type Limits, type Wish } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/model.ts';
import { problemOf, windowOf } from './problem.ts';
import { Search } from './search.ts';

/** A wish or limit as something that can be dropped, or moved to another figure. */
interface Member {
  readonly wish: string;
  readonly side: WishSide | null;
  readonly asked: number | null;
  readonly without: (brief: Brief) => Brief;
  /** `null` where it can only be dropped. */
  readonly at: ((brief: Brief, figure: number) => Brief) | null;
  /** Figure at which it asks nothing. */
  readonly idle: number;
  /** Width to which the least change is pinned down. */
  readonly width: number;
  readonly whole: boolean;
}

/** Subsets looked at when a smaller clash is sought. */
const SUBSETS_MAX = 300;

const WIDTH_INTENSITY = 0.005;
const WIDTH_SHARE = 0.005;

function withLimits(brief: Brief, change: Partial<Limits>): Brief {
  const entries = Object.entries({ ...brief.limits, ...change });
  return {
    ...brief,
    limits: Object.fromEntries(entries.filter(([, v]) => v !== undefined)) as Limits,
  };
}

/** A brief with the window of an axis set anew; sides that ask nothing are left out. */
function withWindow(brief: Brief, axis: (typeof AXES)[number], low: number, high: number): Brief {
  const { [axis]: _, ...target } = brief.target;
  const wish: Wish = {
    ...(low > 0 ? { at_least: low } : {}),
    ...(high < Infinity ? { at_most: high } : {}),
  };
  return { ...brief, target: Object.keys(wish).length > 0 ? { ...target, [axis]: wish } : target };
}

function wishMembers(brief: Brief): Member[] {
  return AXES.flatMap((axis) => {
    const wish = brief.target[axis];
    if (!wish) return [];
    const { low, high } = windowOf(wish);
    const now = (b: Brief) =>
      b.target[axis] ? windowOf(b.target[axis]) : { low: 0, high: Infinity };
    const common = { wish: `target.${axis}`, width: WIDTH_INTENSITY, whole: false };
    const members: Member[] = [];
    if (low > 0) {
      const at = (b: Brief, figure: number) => withWindow(b, axis, figure, now(b).high);
      const without = (b: Brief) => at(b, 0);
      members.push({ ...common, side: 'at_least', asked: low, at, without, idle: 0 });
    }
    if (high < Infinity) {
      const at = (b: Brief, figure: number) => withWindow(b, axis, now(b).low, figure);
      const without = (b: Brief) => at(b, Infinity);
      // No hops at all of this kind give more than the scale holds, in any brief taken.
      members.push({
        ...common,
        side: 'at_most',
        asked: high,
        at,
        without,
        idle: 4 * INTENSITY_MAX,
      });
    }
    return members;
  });
}

/** The limits, those that make a search hard first: what may be dropped early makes the rest quick. */
function limitMembers({ limits, batch }: Brief): Member[] {
  const members: Member[] = [];
  const figure = (
    id:
      | 'weigh_step_g'
      | 'smallest_addition_g'
      | 'hops_at_most'
      | 'ibu_at_least'
      | 'ibu_at_most'
      | 'leaf_g_per_l_after_mash_at_most'
      | 'cost_at_most',
    side: WishSide,
    idle: number,
    whole = false,
  ) => {
    const asked = limits[id];
    if (asked === undefined) return;
    members.push({
      wish: `limits.${id}`,
      side,
      asked,
      idle,
      whole,
      width: whole ? 1 : Math.max(asked, 1) * WIDTH_SHARE,
      without: (b) => withLimits(b, { [id]: undefined }),
      at: (b, value) => withLimits(b, { [id]: value }),
    });
  };
  if (limits.weigh_step_g !== undefined) {
    members.push({
      wish: 'limits.weigh_step_g',
      side: null,
      asked: limits.weigh_step_g,
      idle: 0,
      whole: false,
      width: 0,
      without: (b) => withLimits(b, { weigh_step_g: undefined }),
      at: null,
    });
  }
  figure('smallest_addition_g', 'at_least', 0);
  figure('hops_at_most', 'at_most', 50, true);
  limits.require.forEach((name, i) =>
    members.push({
      wish: `limits.require[${i}]`,
      side: null,
      asked: null,
      idle: 0,
      whole: false,
      width: 0,
      without: (b) => withLimits(b, { require: b.limits.require.filter((n) => n !== name) }),
      at: null,
    }),
  );
  limits.ban.forEach((name, i) =>
    members.push({
      wish: `limits.ban[${i}]`,
      side: null,
      asked: null,
      idle: 0,
      whole: false,
      width: 0,
      without: (b) => withLimits(b, { ban: b.limits.ban.filter((n) => n !== name) }),
      at: null,
    }),
  );
  for (const stage of STAGES) {
    const asked = limits.stage_at_most_g_per_l?.[stage];
    if (asked === undefined) continue;
    const set = (b: Brief, value: number | undefined) => {
      const { [stage]: _, ...rest } = b.limits.stage_at_most_g_per_l ?? {};
      return withLimits(b, {
        stage_at_most_g_per_l: value === undefined ? rest : { ...rest, [stage]: value },
      });
    };
    members.push({
      wish: `limits.stage_at_most_g_per_l.${stage}`,
      side: 'at_most',
      asked,
      idle: 100,
      whole: false,
      width: Math.max(asked, 1) * WIDTH_SHARE,
      without: (b) => set(b, undefined),
      at: set,
    });
  }
  figure('leaf_g_per_l_after_mash_at_most', 'at_most', 300);
  figure('cost_at_most', 'at_most', 100 * batch.beer_l * 100);
  figure('ibu_at_least', 'at_least', 0);
  figure('ibu_at_most', 'at_most', 1000);
  return members;
}

/** `null`: not decided in time. */
type Possible = boolean | null;
type Seeking<T> = Generator<undefined, T>;

/** Whether some blend meets a brief. */
export function* meetable(model: Model, brief: Brief, until: number): Seeking<Possible> {
  const stated = problemOf(model, brief);
  // A brief that cannot even be stated (a required hop without room) cannot be met.
  if (!stated.ok) return false;
  const search = new Search(stated.value, 'objective', 0, 0);
  while (search.step()) {
    if (search.incumbent) return true;
    if (performance.now() > until) return null;
    yield;
  }
  return search.incumbent !== null;
}

function onlyThese(brief: Brief, members: readonly Member[], kept: readonly Member[]): Brief {
  return members.filter((m) => !kept.includes(m)).reduce((b, m) => m.without(b), brief);
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
  { wish, side, asked, without, at, idle, width, whole }: Member,
  until: number,
): Seeking<ClashMember> {
  const common = { wish, side, asked };
  const alone = yield* meetable(model, without(brief), until);
  if (alone !== true || !at || asked === null) {
    return { ...common, holds_at: null, fails_at: null, enough_alone: alone };
  }
  const holds = (figure: number, stepped: boolean) => {
    const limits = stepped ? brief.limits : withLimits(brief, { weigh_step_g: undefined }).limits;
    return meetable(model, at({ ...brief, limits }, figure), until);
  };
  const direction = idle > asked ? 1 : -1;
  let fails = asked;
  let good: number | null = null;
  // First with free doses, which is quick: what fails there fails with whole steps.
  const stages =
    brief.limits.weigh_step_g === undefined || wish.includes('weigh') ? [true] : [false, true];
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

/**
 * The clash of a brief that no blend meets; `null` where that was not proven in time.
 * @param until time to stop, as `performance.now()` tells it.
 */
export function* clashing(model: Model, brief: Brief, until: number): Seeking<Clash | null> {
  const members = [...limitMembers(brief), ...wishMembers(brief)];
  const impossible = function* (kept: readonly Member[]): Seeking<Possible> {
    const answer = yield* meetable(model, onlyThese(brief, members, kept), until);
    return answer === null ? null : !answer;
  };
  let clash = members;
  // Everything but the wishes and the bitterness at once, where that can be done.
  const plain = members.filter(
    (m) => m.wish.startsWith('target.') || m.wish.startsWith('limits.ibu'),
  );
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
  for (const member of clash) found.push(yield* leastChange(model, brief, member, until));
  return { members: found, irreducible, smallest };
}

/** The brief with only the wishes and limits of a clash, less those named; to check a clash by. */
export function briefOfClash(
  brief: Brief,
  clash: Clash,
  except: readonly ClashMember[] = [],
): Brief {
  const members = [...limitMembers(brief), ...wishMembers(brief)];
  const isOf = (m: Member, list: readonly ClashMember[]) =>
    list.some((c) => c.wish === m.wish && c.side === m.side);
  return onlyThese(
    brief,
    members,
    members.filter((m) => isOf(m, clash.members) && !isOf(m, except)),
  );
}

/** The brief with one member of a clash moved to another figure, all else kept. */
export function briefWith(brief: Brief, member: ClashMember, figure: number): Brief {
  const found = [...limitMembers(brief), ...wishMembers(brief)].find(
    (m) => m.wish === member.wish && m.side === member.side,
  );
  if (!found?.at) throw new Error(`${member.wish} cannot be moved`);
  return found.at(brief, figure);
}
