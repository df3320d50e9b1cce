// What the package gives to other programs: a prediction for a schedule, a blend for a brief, and the hop table.
// Documents are those of the page and the command line; what is wrong with one comes back as a value.
import type { DesignAnswer } from '#shared/answers/answer.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import type { Outcome, Problem } from '#shared/outcome.ts';
import { readBrief, readSchedule } from '#shared/reading/read.ts';
import type { briefSchema, scheduleSchema } from '#shared/schemas/brief.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import type { StageKind } from '#shared/stages/kinds.ts';
import type { StageEntry } from '#shared/stages/stages.ts';
import type { z } from '#shared/zod.ts';
import { predict as predicted } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model, modelFor } from '#engine/tables/model.ts';
import { answered } from '#optimize/questions/answering.ts';

/** The stages in use, each by its kind or by a name of its own with its `kind`; what is left out is as usual. */
export type StagesGiven = { [K in StageKind]?: Partial<StageEntry<K>> } & Readonly<
  Record<string, Partial<StageEntry> | undefined>
>;
/** A hop schedule: the batch, its stages with their conditions, and what goes in where. */
export type ScheduleGiven = Omit<z.input<typeof scheduleSchema>, 'stages' | 'recipe'> & {
  stages: StagesGiven;
};
/** A brief: the batch, its stages, the aroma wished for, the limits and the hops to choose from. */
export type BriefGiven = Omit<z.input<typeof briefSchema>, 'stages'> & { stages: StagesGiven };
export type { DesignAnswer, Hop, Outcome, Prediction, Problem };

/** What may be asked beside a brief. */
export interface DesignWish {
  /** Give up proving after this long and answer with the gap reached, ms; 20,000 where absent. */
  readonly timeLimitMs?: number;
  /** Blends wanted, 1 to 5: the best, then the best without its main hop, and so on. */
  readonly alternatives?: number;
}

/**
 * Predicts what a hop schedule gives in the beer: compounds in µg/L, aroma axes and totals, each with its
 * 10-90 % band. Fails with every problem of the schedule: where it is, what is wrong, what to do.
 */
export function predict(schedule: ScheduleGiven): Outcome<Prediction> {
  const read = readSchedule(JSON.stringify(schedule));
  if (!read.ok) return read;
  const its = modelFor(model, read.value);
  const design = designOf(its, read.value);
  return design.ok ? { ok: true, value: predicted(its, design.value) } : design;
}

/**
 * Designs the best blend for a brief: the lightest, cheapest or closest, with its proof or the gap that is left.
 * Takes up to the time limit. Fails with every problem of the brief, or where its limits clash.
 */
export function design(brief: BriefGiven, wish: DesignWish = {}): Outcome<DesignAnswer> {
  const read = readBrief(JSON.stringify(brief));
  return read.ok ? answered(model, read.value, wish) : read;
}

/** The hop table: every variety with its figures, how firm each is, and its sources. */
export const hops: readonly Hop[] = model.hops;
