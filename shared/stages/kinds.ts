// The kinds of stage, in the order they happen, each with what it says of itself; and what a stage is
// called, whose key in a document is its name or its kind.
import type { z } from '#shared/zod.ts';
import { boil } from './boil.ts';
import { dryHop } from './dry-hop.ts';
import { hotSteep } from './hot-steep.ts';
import type { KindOfStage, ConditionFormat } from './kind.ts';
import { mash } from './mash.ts';

/** A kind without its entry in the engine and in the charts does not compile. */
export const KINDS = { mash, boil, hot_steep: hotSteep, dry_hop: dryHop } as const;
export type StageKind = keyof typeof KINDS;
export const STAGE_KINDS = Object.keys(KINDS) as readonly StageKind[];

export type ConditionsOf<K extends StageKind> = z.output<(typeof KINDS)[K]['conditions']>;

export function isStageKind(key: string): key is StageKind {
  return Object.hasOwn(KINDS, key);
}

/** What people call the stage of that key: "Dry hop" for `dry_hop`, else the key, a name of their own. */
export function stageName(key: string): string {
  return isStageKind(key) ? KINDS[key].name : key;
}

/** The same inside a sentence: "dry hop"; a name of their own stays as it was given. */
export function spokenStage(key: string): string {
  return isStageKind(key) ? KINDS[key].name.toLowerCase() : key;
}

/** The kind as what it says of itself, whatever kind it is. */
export function kindNamed(kind: StageKind): KindOfStage {
  return KINDS[kind] as unknown as KindOfStage;
}

/** The conditions of a stage in one line. */
export function conditionsWords(
  { kind, conditions }: { readonly kind: StageKind; readonly conditions: object },
  format: ConditionFormat,
): string {
  return kindNamed(kind).conditionsWords(conditions as Record<string, unknown>, format);
}
