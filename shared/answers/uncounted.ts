// What hops of the hot side do to polyphenols and pH of the beer is not known: no source gives it. So these two
// totals count the dry hops alone. The answer says so beside them, or in their place where there is no dry hop.
import { spokenStage } from '#shared/stages/kinds.ts';
import type { Grams } from '#shared/units.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';

/** Totals that count dry hops alone. */
export const DRY_HOP_TOTALS = ['polyphenols_mg_per_l', 'ph_rise'] as const;

export interface Uncounted {
  /** Keys of the stages of whose hops it is not known, in the order of the process. */
  readonly stages: readonly string[];
  /** Whether no dry hop is left to count. */
  readonly whole: boolean;
  /** "mash and boil". */
  readonly words: string;
}

/** What the two totals do not count of these additions; `null` where they count all. */
export function uncountedOf(
  all: Readonly<Stages>,
  additions: readonly { readonly stage: string; readonly grams: Grams }[],
): Uncounted | null {
  const used = stagesOf(all).filter(({ key }) =>
    additions.some((a) => a.stage === key && a.grams > 0),
  );
  const stages = used.flatMap(({ key, kind }) => (kind === 'dry_hop' ? [] : [key]));
  if (stages.length === 0) return null;
  const names = stages.map(spokenStage);
  const last = names.at(-1)!;
  const words = names.length < 2 ? last : `${names.slice(0, -1).join(', ')} and ${last}`;
  return { stages, whole: stages.length === used.length, words };
}
