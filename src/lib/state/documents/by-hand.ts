// The blend made by hand: the edits a person may make to a list of additions, and the differences between two
// lists. Every function is pure and returns a new list. A row is identified by its place, which no edit
// changes.
import type { FormId } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { OwnAddition } from '#shared/schemas/workspace.ts';
import type { Grams } from '#shared/units.ts';
import { nameKey } from '#shared/name-key.ts';

export type OwnAdditions = readonly OwnAddition[];

/** One text for additions of the same lot, stage and grams. */
function sameKey({ stage, grams, ...lot }: Addition | OwnAddition): string {
  return JSON.stringify([stage, grams, lotKey(lot)]);
}

/** One text for a lot, whatever other fields stand beside it. */
function lotKey(lot: Omit<Addition, 'stage' | 'grams'>): string {
  const { hop, form, price_per_kg, package_g, analysis, storage } = lot;
  return JSON.stringify([hop, form, price_per_kg, package_g, analysis, storage]);
}

/** An addition without its lock. */
function plain({ locked: _, ...addition }: OwnAddition): Addition {
  return addition;
}

/** Locks each of the additions that has an equal one among `locked`; each of these locks one addition. */
function locking(additions: readonly Addition[], locked: readonly Addition[]): OwnAddition[] {
  const left = locked.map(sameKey);
  return additions.map((addition) => {
    const at = left.indexOf(sameKey(addition));
    if (at >= 0) left.splice(at, 1);
    return { ...addition, locked: at >= 0 };
  });
}

/** A designed blend as rows to edit: what the brief keeps is locked. */
export function ownOf(additions: readonly Addition[], { keep = [] }: Brief): OwnAddition[] {
  const weighed = additions.filter(({ grams }) => grams > 0);
  return locking(weighed, keep);
}

/** The rows as additions of a schedule. */
export function additionsOf(own: OwnAdditions): Addition[] {
  return own.map(plain);
}

/** The additions that a new design of the rest has to keep. */
export function keptOf(own: OwnAdditions): Addition[] {
  return own.filter((a) => a.locked && a.grams > 0).map(plain);
}

/** The blend designed around the locked additions, which stay locked. */
export function replanned(own: OwnAdditions, designed: readonly Addition[]): OwnAddition[] {
  const weighed = designed.filter(({ grams }) => grams > 0);
  return locking(weighed, keptOf(own));
}

function changed(own: OwnAdditions, at: number, change: Partial<OwnAddition>): OwnAddition[] {
  return own.map((addition, i) => (i === at ? { ...addition, ...change } : addition));
}

/** Grams that can be weighed: whole steps, and at least one step for any weight above 0. */
export function weighedOut(grams: Grams, step: Grams | undefined): Grams {
  if (!step || grams <= 0) return grams;
  return Number((Math.max(1, Math.round(grams / step)) * step).toPrecision(12));
}

export function withGrams(own: OwnAdditions, at: number, grams: Grams): OwnAddition[] {
  return changed(own, at, { grams });
}

export function withStage(own: OwnAdditions, at: number, stage: string): OwnAddition[] {
  return changed(own, at, { stage });
}

export function withLock(own: OwnAdditions, at: number, locked: boolean): OwnAddition[] {
  return changed(own, at, { locked });
}

export function without(own: OwnAdditions, at: number): OwnAddition[] {
  return own.filter((_, i) => i !== at);
}

export function withAdded(own: OwnAdditions, addition: Addition): OwnAddition[] {
  return [...own, { ...addition, locked: false }];
}

/** Grams of a hop in one form at one stage, before and after; 0 where there are none. */
export interface DoseChange {
  readonly hop: string;
  readonly form: FormId;
  /** Key of the stage. */
  readonly stage: string;
  readonly from: number;
  readonly to: number;
}

/** The differences between two blends, the largest first; empty where the blends are equal. */
export function changesBetween(
  before: readonly Addition[],
  after: readonly Addition[],
): DoseChange[] {
  const doses = new Map<string, { -readonly [K in keyof DoseChange]: DoseChange[K] }>();
  const count = (additions: readonly Addition[], side: 'from' | 'to') => {
    for (const { hop, form, stage, grams } of additions) {
      const key = JSON.stringify([nameKey(hop), form, stage]);
      const dose = doses.get(key) ?? { hop, form, stage, from: 0, to: 0 };
      doses.set(key, dose);
      dose[side] += grams;
    }
  };
  count(before, 'from');
  count(after, 'to');
  const size = ({ from, to }: DoseChange) => Math.abs(to - from);
  return [...doses.values()].filter((d) => size(d) > 1e-6).sort((a, b) => size(b) - size(a));
}
