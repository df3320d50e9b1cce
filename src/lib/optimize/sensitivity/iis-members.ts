// The wishes and limits of a brief one by one, each as something that can be dropped from the brief or
// moved to another figure. What lots there are and what they hold is given, and no member.
import type { WishSubject } from '#shared/answers/wish-subject.ts';
import type { WishSide } from '#shared/answers/answer.ts';
import { given } from '#shared/given.ts';
import { AXES, FORMS } from '#shared/ids.ts';
import type { Brief, LimitFigure, Limits, Wish } from '#shared/schemas/brief.ts';
import { DOSE_G_PER_L_MAX, INTENSITY_MAX } from '#shared/schemas/sizes.ts';
import { ADDITIONS_MAX, isCount, formsPerHop } from '#shared/schemas/limit-counts.ts';
import { stageMost, withStageForms } from '#shared/schemas/stage-limits.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { windowOf } from '#optimize/problem/windows.ts';

/** A wish or limit as something that can be dropped, or moved to another figure. */
export interface Member {
  readonly of: WishSubject;
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

const WIDTH_INTENSITY = 0.005;
const WIDTH_SHARE = 0.005;

export function withLimits(brief: Brief, change: Partial<Limits>): Brief {
  return { ...brief, limits: given({ ...brief.limits, ...change }) };
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
    const common = { of: { kind: 'axis', axis }, width: WIDTH_INTENSITY, whole: false } as const;
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

/** The limits; first those that make a search slow, since the sooner they are dropped the quicker the rest goes. */
function limitMembers({ limits, batch, stages }: Brief): Member[] {
  const members: Member[] = [];
  const figure = (id: LimitFigure, side: WishSide, idle: number, usual?: number) => {
    const asked = limits[id] ?? usual;
    if (asked === undefined) return;
    const whole = isCount(id);
    members.push({
      of: { kind: 'limit', limit: id },
      side,
      asked,
      idle,
      whole,
      width: whole ? 1 : Math.max(asked, 1) * WIDTH_SHARE,
      without: (b) => withLimits(b, { [id]: usual === undefined ? undefined : idle }),
      at: (b, value) => withLimits(b, { [id]: value }),
    });
  };
  /** One that can only be dropped. */
  const undivided = (of: WishSubject, without: Member['without'], asked: number | null = null) =>
    members.push({ of, side: null, asked, idle: 0, whole: false, width: 0, without, at: null });
  if (limits.weigh_step_g !== undefined) {
    undivided(
      { kind: 'limit', limit: 'weigh_step_g' },
      (b) => withLimits(b, { weigh_step_g: undefined }),
      limits.weigh_step_g,
    );
  }
  figure('smallest_addition_g', 'at_least', 0);
  // Where none is stated a hop is bought in one form; that is dropped by stating all there are.
  if (formsPerHop(limits) < FORMS.length)
    figure('forms_per_hop_at_most', 'at_most', FORMS.length, formsPerHop(limits));
  figure('additions_at_most', 'at_most', ADDITIONS_MAX);
  figure('hops_at_most', 'at_most', 50);
  if (limits.forms !== undefined) {
    undivided({ kind: 'forms' }, (b) => withLimits(b, { forms: undefined }));
  }
  for (const key of Object.keys(limits.stage_forms ?? {})) {
    undivided({ kind: 'stage_forms', stage: key }, (b) =>
      withLimits(b, { stage_forms: withStageForms(b.limits, key, undefined) }),
    );
  }
  limits.require.forEach((name, i) =>
    undivided({ kind: 'listed', list: 'require', at: i }, (b) =>
      withLimits(b, { require: b.limits.require.filter((n) => n !== name) }),
    ),
  );
  limits.ban.forEach((name, i) =>
    undivided({ kind: 'listed', list: 'ban', at: i }, (b) =>
      withLimits(b, { ban: b.limits.ban.filter((n) => n !== name) }),
    ),
  );
  for (const { key: stage } of stagesOf(stages)) {
    // A stage has a usual most where none is stated; it is dropped by stating the largest there is.
    const asked = stageMost(limits, stage) ?? null;
    const set = (b: Brief, value: number) =>
      withLimits(b, {
        stage_at_most_g_per_l: { ...b.limits.stage_at_most_g_per_l, [stage]: value },
      });
    members.push({
      of: { kind: 'stage', stage },
      side: 'at_most',
      asked,
      idle: DOSE_G_PER_L_MAX,
      whole: false,
      width: Math.max(asked ?? 0, 1) * WIDTH_SHARE,
      without: (b) => set(b, DOSE_G_PER_L_MAX),
      at: set,
    });
  }
  figure('leaf_g_per_l_after_mash_at_most', 'at_most', 300);
  figure('share_at_most', 'at_most', 1);
  figure('cost_at_most', 'at_most', 100 * batch.beer_l * 100);
  figure('ibu_at_least', 'at_least', 0);
  figure('ibu_at_most', 'at_most', 1000);
  return members;
}

/** All wishes and limits of a brief that may take part in a clash. */
export function membersOf(brief: Brief): Member[] {
  return [...limitMembers(brief), ...wishMembers(brief)];
}
