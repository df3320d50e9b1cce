// The blend as it is weighed out: a lane per stage in the order of the brew day, a bar per addition. All
// bars share one scale with room to be drawn longer. During a drag, bars keep their places and their scale, so that
// only their length changes.
import { lotDetails } from '#shared/answers/lot-details.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Grams } from '#shared/units.ts';
import { shownStages, type ShownStage, type Stages } from '#shared/stages/stages.ts';

/** An addition as the bars take it. */
export interface ShownDose extends Addition {
  readonly locked?: boolean;
}

export interface DoseBar extends ShownDose {
  /** Place among the additions given. */
  readonly at: number;
  /** The same for the same lot at the same stage, whatever its place: its bar is kept during a drag. */
  readonly key: string;
  /** What distinguishes it from others of its hop, form and stage; empty where there are none. */
  readonly lot: string;
  /** Fraction of the chart's width. */
  readonly length: number;
}

export interface DoseLane {
  readonly stage: ShownStage;
  readonly grams: Grams;
  readonly bars: readonly DoseBar[];
}

/** Part of the width that the longest bar takes at rest; the rest is there to be dragged into. */
const LONGEST = 0.8;

/** Grams at the end of the scale that fits additions; 1 where there are none. */
export function mostFor(additions: readonly Pick<ShownDose, 'grams'>[]): number {
  return Math.max(...additions.map(({ grams }) => grams), 0) / LONGEST || 1;
}

const lotOf = ({ hop, form, stage }: ShownDose) => `${hop}|${form}|${stage}`;

/** Each with its key: the same for the same lot at the same stage, numbered where there are several. */
function keyed(additions: readonly ShownDose[]): readonly (readonly [string, ShownDose])[] {
  const seen = new Map<string, number>();
  return additions.map((dosed) => {
    const lot = lotOf(dosed);
    const alike = seen.get(lot) ?? 0;
    seen.set(lot, alike + 1);
    return [`${lot}|${alike}`, dosed];
  });
}

const detailsOf = ({ analysis, package_g, storage }: ShownDose) =>
  lotDetails(analysis?.alpha_pct, package_g, storage);

/** What is known of this lot and of none beside it, else its number among them. */
function lotWords(dosed: ShownDose, additions: readonly ShownDose[]): string {
  const alike = additions.filter((other) => lotOf(other) === lotOf(dosed));
  if (alike.length < 2) return '';
  const details = detailsOf(dosed);
  const isAlone = alike.every((other) => other === dosed || detailsOf(other) !== details);
  return details && isAlone ? details : `lot ${alike.indexOf(dosed) + 1}`;
}

/**
 * The live blend of a drag with every addition that the drag has shown so far, in the order they first appeared;
 * those the live blend lacks stand at 0 g. So no bar disappears during a drag.
 */
export function amongSeen(
  now: readonly ShownDose[],
  seen: readonly ShownDose[],
): readonly ShownDose[] {
  const left = new Map(keyed(now));
  const kept = keyed(seen).map(([key, dosed]) => {
    const there = left.get(key);
    left.delete(key);
    return there ?? { ...dosed, grams: 0 };
  });
  return [...kept, ...left.values()];
}

/**
 * Lanes of all additions, those of 0 g too; within a lane the first listed first.
 * @param stages those of the document the blend is for.
 * @param most grams at the end of the scale, above 0.
 * @param before the additions this blend follows: what is of both stays in that order, the rest comes
 *   after it.
 */
export function doseLanes(
  additions: readonly ShownDose[],
  stages: Readonly<Stages>,
  most: number,
  before: readonly ShownDose[] = [],
): DoseLane[] {
  // The first place of a lot counts, so the last is written first.
  const order = new Map(before.map((dosed, at) => [lotOf(dosed), at] as const).reverse());
  const place = (bar: DoseBar) => order.get(lotOf(bar)) ?? before.length + bar.at;
  const bars = keyed(additions).map(([key, dosed], at): DoseBar => ({
    ...dosed,
    at,
    key,
    lot: lotWords(dosed, additions),
    length: dosed.grams / most,
  }));
  return shownStages(
    stages,
    additions.map(({ stage }) => stage),
  ).map((stage) => {
    const own = bars.filter((bar) => bar.stage === stage.key);
    return {
      stage,
      grams: own.reduce((sum, { grams }) => sum + grams, 0),
      bars: before.length > 0 ? own.sort((a, b) => place(a) - place(b)) : own,
    };
  });
}
