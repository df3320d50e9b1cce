// The steps of a brew in the order of the process, with their ids and dates.
import type { SheetStep } from '#shared/answers/sheet.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { coldSideSteps } from './cold-side.ts';
import { coolingSteps } from './cooling.ts';
import { dayAfter } from './days.ts';
import type { StepsAsked } from './draft.ts';
import { hotSideSteps } from './hot-side.ts';

/** Every step, in order. */
export function stepsOf(asked: StepsAsked): SheetStep[] {
  const uses = stagesOf(asked.design.stages);
  const drafts = [
    ...hotSideSteps(asked, uses),
    ...coolingSteps(asked, uses),
    ...coldSideSteps(asked, uses),
  ];
  return drafts.map((draft): SheetStep => {
    const { kind, stage = null, day = 0, ends_day = null } = draft;
    const dated = (at: number | null) =>
      at === null || asked.brewedOn === null ? null : dayAfter(asked.brewedOn, at);
    return {
      id: stage === null ? kind : `${kind}:${stage}`,
      kind,
      title: draft.title,
      stage,
      vessel: draft.vessel,
      day,
      day_is_usual: draft.day_is_usual ?? false,
      date: dated(day),
      ends_day,
      ends_date: dated(ends_day),
      timer_min: draft.timer_min ?? null,
      weigh: draft.weigh ?? [],
      figures: draft.figures ?? [],
      instructions: draft.instructions ?? [],
      cautions: draft.cautions ?? [],
    };
  });
}
