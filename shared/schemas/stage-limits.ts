// The limits a brief sets stage by stage: the most that goes in at each, and the forms it takes hops in. How
// answers name such a limit, what holds where a brief says nothing, and what a new design starts with.
import { FORMS, type FormId } from '#shared/ids.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import type { Batch, Limits } from './brief.ts';
import type { Addition } from './lot.ts';

/** Limits whose parts go by the keys of stages. */
export const STAGE_LIMITS = ['stage_at_most_g_per_l', 'stage_forms'] as const;
export type StageLimit = (typeof STAGE_LIMITS)[number];

/** Path of a limit on a stage. */
export function stageLimitPath(limit: StageLimit, key: string): string {
  return `limits.${limit}.${key}`;
}

/** The key of the stage on which a path puts this limit; `null` where it is no such path. */
export function limitedStage(limit: StageLimit, path: string): string | null {
  const start = stageLimitPath(limit, '');
  return path.startsWith(start) ? path.slice(start.length) : null;
}

/**
 * The part of a limit for a stage, looked up as a property of its own: a stage may be named like one that every
 * object inherits.
 */
function partFor<Part>(parts: Readonly<Record<string, Part>> = {}, key: string): Part | undefined {
  return Object.hasOwn(parts, key) ? parts[key] : undefined;
}

/** The most that goes in at a stage, g/L; `undefined` where there is no limit. */
export function stageMost(limits: Limits, key: string): GramsPerLitre | undefined {
  return partFor(limits.stage_at_most_g_per_l, key);
}

/** The forms a stage takes hops in; all where the brief says nothing of it. */
export function stageForms(limits: Pick<Limits, 'stage_forms'>, key: string): readonly FormId[] {
  return partFor(limits.stage_forms, key) ?? FORMS;
}

/** The limit on forms with other forms for one stage, `undefined` for all; `undefined` where nothing is left of it. */
export function withStageForms(
  { stage_forms: limited = {} }: Pick<Limits, 'stage_forms'>,
  key: string,
  forms: readonly FormId[] | undefined,
): Limits['stage_forms'] {
  const { [key]: _, ...others } = limited;
  const all = forms ? { ...others, [key]: [...forms] } : others;
  return Object.keys(all).length > 0 ? all : undefined;
}

/** Stages with what a schedule puts there, if anything. */
interface StagesInUse {
  readonly stages: Readonly<Stages>;
  readonly batch: Pick<Batch, 'beer_l'>;
  readonly additions?: readonly Pick<Addition, 'stage' | 'form' | 'grams'>[];
}

/** All hops of a stage, g per L of beer. */
export function doseAt({ batch, additions = [] }: StagesInUse, key: string): GramsPerLitre {
  return additions.reduce((sum, a) => sum + (a.stage === key ? a.grams : 0), 0) / batch.beer_l;
}

/**
 * The limits on stages that a new design starts with, and a saving where it states none: the forms brewers put in
 * there, and the most of them. What a schedule has at a stage stays allowed there. Common practice, no source.
 * @returns only limits on some stage.
 */
export function usualStageLimits(use: StagesInUse): Pick<Limits, StageLimit> {
  const { stages, additions = [] } = use;
  const limits: Pick<Limits, StageLimit> = {};
  for (const { key, kind } of stagesOf(stages)) {
    const { usualForms, usualMost } = kindNamed(kind);
    const stands = (form: FormId) => additions.some((a) => a.stage === key && a.form === form);
    if (usualForms)
      (limits.stage_forms ??= {})[key] = FORMS.filter((f) => usualForms.includes(f) || stands(f));
    if (usualMost !== undefined)
      (limits.stage_at_most_g_per_l ??= {})[key] = Math.max(usualMost, doseAt(use, key));
  }
  return limits;
}
