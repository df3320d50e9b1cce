// Why a blend is as it is, in a brewer's sentences: what a wish costs and how far that goes, why a
// hop is not in it, what clashes. Only words; every figure comes from the optimizer.
import { isAxisWish } from '#shared/answers/wish-subject.ts';
import type { LeverNeed, Price, PriceUnit, WhyNot, WishSide } from '#shared/answers/answer.ts';
import type { Minimise } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import type { EasedMember } from '#optimize/sensitivity/explain.ts';
import {
  decimals,
  hopMass,
  listed,
  money,
  percent,
  quantity,
  significant,
  withUnit,
} from './format.ts';
import { wishName } from './wishes.ts';
import { spokenStage } from '#shared/stages/kinds.ts';

/** About an amount of what the brief minimises, two significant digits; `value` is not negative. */
function amount(value: number, minimise: Minimise, units: UnitSystem): string {
  const about = value >= 100 ? Math.round(value) : Number(value.toPrecision(2));
  if (minimise !== 'cost') {
    const grams = hopMass(about, units);
    return minimise === 'leaf' ? `${grams} of leaf` : grams;
  }
  return value > 0 && value < 0.1 ? significant(about) : money(value);
}

/** A figure of a wish with its unit. */
function figure(value: number, unit: PriceUnit, units: UnitSystem): string {
  if (unit === 'intensity') return decimals(value, 2);
  if (unit === 'g') return hopMass(value, units);
  if (unit === 'share') return percent(value);
  if (unit === 'g_per_l') return quantity(value, 'dose', units);
  return unit === 'money' ? money(value) : withUnit(decimals(value, 1), 'IBU');
}

const SIDES: Readonly<Record<WishSide, string>> = { at_least: 'at least', at_most: 'at most' };

/** "tropical at least 3.7", "the IBU maximum, 40 IBU". */
export function wishWords({ wish, side, asked, unit }: Price, units: UnitSystem): string {
  const name = wishName(wish);
  return isAxisWish(wish)
    ? `${name} ${SIDES[side]} ${decimals(asked, 2)}`
    : `${name}, ${figure(asked, unit, units)}`;
}

/** A wish moved by this, as a share of what its price is named for, still reads as moved. */
const SHOWN_SHARE = 0.02;

/**
 * What a binding wish costs, to first order, and up to where: of asking more of it where that holds
 * for a whole step, else of easing it; `null` where the price holds on no stretch worth naming.
 */
export function priceSentence(
  { side, unit, asked, price, per, from, to }: Price,
  minimise: Minimise,
  units: UnitSystem,
): string | null {
  const up = (to ?? Infinity) - asked;
  const down = asked - (from ?? -Infinity);
  const [tight, loose] = side === 'at_least' ? [up, down] : [down, up];
  const asksMore = tight >= per || (loose < per && tight >= loose);
  const room = asksMore ? tight : loose;
  if (room < per * SHOWN_SHARE) return null;
  const step = Math.min(per, room);
  const higher = asksMore === (side === 'at_least');
  const end = higher ? to : from;
  const reach =
    end === null ? '' : `, ${higher ? 'up' : 'down'} to ${figure(Math.max(0, end), unit, units)}`;
  const what = `${figure(step, unit, units)} ${higher ? 'higher' : 'lower'}`;
  const saved = amount((price * step) / per, minimise, units);
  return asksMore ? `${what} costs ${saved} more${reach}` : `${what} saves ${saved}${reach}`;
}

const LEVERS: Readonly<Record<LeverNeed['lever'], string>> = {
  oil: 'its oil',
  thiols: 'its thiols',
  price: 'its price',
};
/** No lot is richer than its kind by more than this. */
const FACTOR_MOST = 20;

function leverWords(levers: readonly LeverNeed[]): string | null {
  const named = levers.flatMap(({ lever, factor }) => {
    if (factor === null || factor > FACTOR_MOST) return [];
    return lever === 'price'
      ? [`${percent(factor)} of ${LEVERS.price}`]
      : [`${decimals(factor, 1)} times ${LEVERS[lever]}`];
  });
  const [first] = levers;
  if (!first) return null;
  const place = `in the ${spokenStage(first.stage)}`;
  return named.length
    ? `To be worth using ${place} it would need ${named.join(', or ')}.`
    : `Even a much richer lot of it would not be worth using ${place}.`;
}

const MORE: Readonly<Record<Minimise, (words: string) => string>> = {
  weight: (words) => `would need ${words} more hops in all`,
  cost: (words) => `would cost ${words} more in all`,
  leaf: (words) => `would bring ${words} more in all`,
  closest: (words) => `would be off by ${words} more`,
};
/** A difference in the objective, as a share, that is none. */
const SAME = 1e-6;

function dearer({ hop, with_it: best }: WhyNot, minimise: Minimise, units: UnitSystem): string {
  if (!best) return '';
  if (best.extra <= best.objective * SAME) return `A blend with ${hop} is exactly as good.`;
  const words = amount(best.extra, minimise, units);
  const open = best.objective - best.lower_bound > Math.max(1, best.objective * 1e-3);
  return `${hop} ${MORE[minimise](open ? `at most ${words}` : words)}.`;
}

/** Why a hop is not in a blend, a sentence each. */
export function whyNotSentences(found: WhyNot, minimise: Minimise, units: UnitSystem): string[] {
  const { hop, verdict, reason, with_it: best, reduced_cost_per_g: reduced, levers } = found;
  const because = reason === null ? '' : `: ${reason}`;
  const first = {
    in_blend: `${hop} is in the blend.`,
    left_out: `${hop} is not used${because}.`,
    impossible: `No blend with ${hop} meets all wishes${because}.`,
    undecided: `No blend with ${hop} was found in the time given.`,
    dearer: dearer(found, minimise, units),
  }[verdict];
  const sentences = [first];
  if (best) {
    const grams = new Map<string, number>();
    for (const a of best.additions) grams.set(a.hop, (grams.get(a.hop) ?? 0) + a.grams);
    const parts = [...grams]
      .filter(([, g]) => g > 0)
      .map(([name, g]) => `${name} ${hopMass(g, units)}`);
    sentences.push(`The best blend with it: ${listed(parts)}.`);
  }
  if (reduced !== null && reduced < 0) {
    sentences.push(
      'A little of it would help, but the number of hops, the smallest addition or the weighing step keeps it out.',
    );
  }
  const needs = leverWords(levers);
  if (needs !== null) sentences.push(needs);
  return sentences;
}

/** A member of a clash: "floral at least 5". */
export function clashWords({ wish, side, asked }: EasedMember): string {
  const name = wishName(wish);
  if (!isAxisWish(wish)) return asked === null ? name : `${name}, ${significant(asked)}`;
  return `${name}${side ? ` ${SIDES[side]}` : ''}${asked === null ? '' : ` ${decimals(asked, 2)}`}`;
}

/** What easing one member of a clash does. */
export function easingWords({ eased_to: to, enough_alone: enough }: EasedMember): string {
  if (to !== null) return `${decimals(to, 2)} is enough if all else stays`;
  if (enough === true) return 'without this one, all others can be met';
  return enough === false
    ? 'easing this alone is not enough'
    : 'whether easing this is enough was not settled in the time given';
}
