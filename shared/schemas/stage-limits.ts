// The limits a brief sets stage by stage: the most that goes in at each, and the forms it takes hops in. How
// answers name such a limit, what holds where a brief says nothing, and what a new design starts with.
import { FORMS, type FormId } from '#shared/ids.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import type { Limits } from './brief.ts';
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

/**
 * The limits on stages that a new design starts with: in each the forms brewers use there, where these are not
 * all, and the most they put there. Common practice, no source.
 * @param additions of a schedule: what form stands at a stage stays allowed there.
 * @returns only limits on some stage.
 */
export function usualStageLimits(
  stages: Readonly<Stages>,
  additions: readonly Pick<Addition, 'stage' | 'form'>[] = [],
): Pick<Limits, StageLimit> {
  const limits: Pick<Limits, StageLimit> = {};
  for (const { key, kind } of stagesOf(stages)) {
    const { usualForms, usualMost } = kindNamed(kind);
    const stands = (form: FormId) => additions.some((a) => a.stage === key && a.form === form);
    if (usualForms)
      (limits.stage_forms ??= {})[key] = FORMS.filter((f) => usualForms.includes(f) || stands(f));
    if (usualMost !== undefined) (limits.stage_at_most_g_per_l ??= {})[key] = usualMost;
  }
  return limits;
}
