// A wish on one axis as a person edits it: one kind, one value, a tolerance. `at_least` with `at_most` is
// equivalent to an aim at the middle with half the distance as tolerance and is shown as that; the document
// keeps its form until the wish is edited.
import type { Wish } from '#shared/schemas/brief.ts';
import type { AttainableRange } from '#optimize/live/attainable-range.ts';

export const WISH_KINDS = ['free', 'aim', 'at_least', 'at_most'] as const;
export type WishKind = (typeof WISH_KINDS)[number];

/** Tolerance of a new aim, in intensity: about the distance between two neighbouring words of the scale. */
export const NEW_WITHIN = 0.4;

/** Distance beyond the attainable range that is not reported, in intensity: it is shown in tenths. */
const REACH_ROOM = 0.05;

export interface HandledWish {
  readonly kind: WishKind;
  /** Intensity; 0 for a free axis. */
  readonly value: number;
  /** Half-width of an aim, in intensity; remembered while another kind is chosen. */
  readonly within: number;
}

/** Rounded to one decimal, as wishes are set by hand. */
export function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}

const FREE: HandledWish = { kind: 'free', value: 0, within: NEW_WITHIN };
const inHand = new WeakMap<Wish, HandledWish>();

/**
 * The wish in edited form; the same object for the same wish, so that what is drawn from it is not drawn again.
 */
export function handled(wish: Wish | undefined): HandledWish {
  if (!wish) return FREE;
  let known = inHand.get(wish);
  if (!known) inHand.set(wish, (known = handling(wish)));
  return known;
}

function handling(wish: Wish): HandledWish {
  const { aim, within, at_least: least, at_most: most } = wish;
  if (aim !== undefined) return { kind: 'aim', value: aim, within: within ?? NEW_WITHIN };
  if (least !== undefined && most !== undefined) {
    return { kind: 'aim', value: (least + most) / 2, within: (most - least) / 2 };
  }
  if (least !== undefined) return { kind: 'at_least', value: least, within: NEW_WITHIN };
  return { kind: 'at_most', value: most ?? 0, within: NEW_WITHIN };
}

/** The wish as the brief's document holds it; `undefined` for a free axis. */
export function wishOf({ kind, value, within }: HandledWish): Wish | undefined {
  if (kind === 'aim') return { aim: value, within };
  if (kind === 'at_least') return { at_least: value };
  if (kind === 'at_most') return { at_most: value };
  return undefined;
}

/** The intensities that meet a wish: from `low` to `high` (`Infinity`: no upper end). */
export function metBy(wish: Wish): { low: number; high: number } {
  let low = 0;
  let high = Infinity;
  if (wish.aim !== undefined) {
    low = Math.max(0, wish.aim - (wish.within ?? 0));
    high = wish.aim + (wish.within ?? 0);
  }
  if (wish.at_least !== undefined) low = Math.max(low, wish.at_least);
  if (wish.at_most !== undefined) high = Math.min(high, wish.at_most);
  return { low, high };
}

/** The end of the attainable range that a wish lies beyond; `null` where, as far as known, it can be met. */
export function beyond(wish: Wish, reach: AttainableRange): 'least' | 'most' | null {
  const { low, high } = metBy(wish);
  if (low > reach.most + REACH_ROOM) return 'most';
  return high < reach.least - REACH_ROOM ? 'least' : null;
}
