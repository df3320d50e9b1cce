// What hops of the hot side do to polyphenols and pH of the beer: nobody told, so that these two totals
// count the dry hops alone. Said beside them, and in their place where there is no dry hop.
import { STAGES, type StageId } from '#shared/ids.ts';
import { spoken, STAGE_NAMES } from '#shared/words.ts';

/** Totals that count dry hops alone. */
export const DRY_HOP_TOTALS = ['polyphenols_mg_per_l', 'ph_rise'] as const;

export interface Uncounted {
  /** Stages of whose hops it is not known, in the order of the process. */
  readonly stages: readonly StageId[];
  /** Whether no dry hop is left to count. */
  readonly whole: boolean;
  /** "mash and boil". */
  readonly words: string;
}

/** What the two totals do not count of these additions; `null` where they count all. */
export function uncountedOf(
  additions: readonly { readonly stage: StageId; readonly grams: number }[],
): Uncounted | null {
  const used = STAGES.filter((s) => additions.some((a) => a.stage === s && a.grams > 0));
  const stages = used.filter((stage) => stage !== 'dry_hop');
  if (stages.length === 0) return null;
  const names = stages.map((stage) => spoken(STAGE_NAMES[stage]));
  const last = names.at(-1)!;
  const words = names.length < 2 ? last : `${names.slice(0, -1).join(', ')} and ${last}`;
  return { stages, whole: stages.length === used.length, words };
}
