// A designed blend as text for people: how good it is and how sure, the blend, why not others.
import { isBitterness, wishSubject } from '#shared/answers/wish-subject.ts';
import type { Blend, DesignAnswer, LeftOut, Miss } from '#shared/answers/answer.ts';
import { AXES } from '#shared/ids.ts';
import type { Brief, Minimise, Wish } from '#shared/schemas/brief.ts';
import type { Design } from '#engine/predict/design.ts';
import type { FiguresShown } from './known.ts';
import { axisLines, purchaseLines, scheduleLines, totalLines, unknownLines } from './prediction.ts';
import { figure, words, wrapped } from './table.ts';

/** A blend with the design it is and its figures as they are shown. */
export interface BlendShown {
  readonly blend: Blend;
  readonly design: Design;
  readonly shown: FiguresShown;
}

/** An amount of what is minimised, in words: a whole blend to five digits, a difference to three. */
export function amount(value: number, minimise: Minimise, digits = 5): string {
  const shown = Number(value.toPrecision(digits));
  return {
    weight: `${shown} g of hops`,
    cost: `a cost of ${shown}`,
    leaf: `${shown} g of leaf after the mash`,
    closest: `a largest distance of ${shown} in intensity`,
  }[minimise];
}

function percent(fraction: number): string {
  return `${figure(fraction * 100)} %`;
}

/** What was wished, in words: `3.5 +- 0.4`, `at least 3`. */
function wishText({ aim, within, at_least, at_most }: Wish): string {
  return [
    aim === undefined ? '' : `${figure(aim)} +- ${figure(within ?? 0)}`,
    at_least === undefined ? '' : `at least ${figure(at_least)}`,
    at_most === undefined ? '' : `at most ${figure(at_most)}`,
  ]
    .filter((part) => part !== '')
    .join(', ');
}

/** What is minimised, of a blend: g, money, or g of leaf in the whole batch. */
function objectiveOf({ totals, distance }: Blend, { minimise, batch }: Brief): number | null {
  if (minimise === 'weight') return totals.hop_g;
  if (minimise === 'closest') return distance ?? null;
  return minimise === 'cost' ? totals.cost : totals.leaf_g_per_l * batch.beer_l;
}

/** What was proved, and how long it took. */
export function statusLines(answer: DesignAnswer, brief: Brief): string[] {
  const { status, lower_bound, gap, milliseconds, blends } = answer;
  const [best] = blends;
  const objective = best ? objectiveOf(best, brief) : null;
  const needed = objective === null ? '' : `${amount(objective, brief.minimise)}. `;
  const bound = amount(lower_bound, brief.minimise);
  const bitter = best?.misses.some(({ wish }) => isBitterness(wishSubject(wish))) ?? false;
  const counted = bitter ? ', 5 IBU counted as 1' : '';
  const near = brief.minimise === 'closest';
  // Where closeness is asked for, what is proven is the distance from the aims themselves.
  const off = best ? Math.max(best.worst_miss, best.distance ?? 0) : 0;
  const misses = near ? 'is off the aims' : 'misses';
  const miss = best ? `It ${misses} by up to ${figure(off)} in intensity${counted}. ` : '';
  const statement = {
    optimal: near
      ? `Proven closest: ${needed}No blend of these lots comes closer to the aims than ${bound}`
      : `Proven best: ${needed}No blend of these lots meets the wishes with less than ${bound}`,
    within_gap: near
      ? `Not proven closest: ${needed}No blend can come closer to the aims than ${bound}`
      : `Not proven best: ${needed}${lower_bound > 0 ? `No blend can do with less than ${bound}, so at most ${percent(gap)} could be saved` : 'How much less would do was not settled in time'}`,
    closest:
      lower_bound > 0
        ? `No blend meets every wish and limit. This is the closest found. ${miss}Proven: none ${misses} by less than ${figure(lower_bound)}`
        : `No blend was found that meets every wish and limit; whether one exists was not settled in time. This is the closest found. ${miss.trim()}`,
  }[status];
  return wrapped(`${statement.replace(/\.$/, '')} (${figure(milliseconds / 1000)} s).`, '');
}

function missLine({ wish, asked, got, by }: Miss): string[] {
  const wanted = typeof asked === 'number' ? figure(asked) : wishText(asked);
  return wrapped(
    `${words(wish.replace(/^\w+\./, ''))}: asked ${wanted}, got ${figure(got)}, off by ${figure(by)}`,
  );
}

/** In what share of drawn lots the blend meets every wish. */
function chanceLines(
  { holds_in_lots: lots, holds_in_all: all }: Blend,
  { target }: Brief,
): string[] {
  if (Object.keys(target).length === 0) return [];
  return wrapped(
    `Meets every wish in ${percent(lots)} of lots if the model is right, in ${percent(all)} if the uncertainty of the model counts too.`,
  );
}

/** One blend in full. */
export function blendLines({ blend, design, shown }: BlendShown, brief: Brief): string[][] {
  const { target } = brief;
  const wishes = Object.fromEntries(AXES.map((id) => [id, target[id] ? wishText(target[id]) : '']));
  const misses = blend.misses.length === 0 ? [] : ['Missed:', ...blend.misses.flatMap(missLine)];
  return [
    scheduleLines(design),
    chanceLines(blend, brief),
    misses,
    totalLines(shown),
    purchaseLines(blend.purchases, brief.batch),
    axisLines(shown, wishes),
    unknownLines(design),
  ];
}

/** Said of a blend that was not proven best of its rank in time. */
function unsettled({ proof }: Blend): string {
  if (proof?.status !== 'within_gap') return '';
  return `; not proven best of its rank, at most ${percent(proof.gap)} could be saved`;
}

/** The other blends, short. */
export function otherLines(others: readonly BlendShown[]): string[] {
  if (others.length === 0) return [];
  return [
    'Other blends:',
    ...others.flatMap(({ blend, design }, i) => [
      ...(i === 0 ? [] : ['']),
      `${figure(blend.totals.hop_g)} g, worst miss ${figure(blend.worst_miss)}${unsettled(blend)}`,
      ...scheduleLines(design),
    ]),
  ];
}

/** More than this are named without their reasons, which are long and alike. */
const REASONS_MAX = 10;

function leftOutLines(leftOut: readonly LeftOut[]): string[] {
  if (leftOut.length === 0) return [];
  const hops = [...new Set(leftOut.map((l) => l.hop))].join(', ');
  if (leftOut.length > REASONS_MAX) {
    const many = `Left out of a search, mostly for want of figures or a price (--json gives each reason): ${hops}.`;
    return wrapped(many, '');
  }
  return ['Left out of a search:', ...leftOut.flatMap((l) => wrapped(`${l.hop}: ${l.reason}`))];
}

export function whyLines({ why }: Pick<DesignAnswer, 'why'>): string[][] {
  const notes = why.notes.length === 0 ? [] : ['Why:', ...why.notes.flatMap((n) => wrapped(n))];
  return [notes, leftOutLines(why.left_out)];
}
