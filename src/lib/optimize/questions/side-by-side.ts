// Schedules side by side: what each gives, and where a difference from the first could be noticed in the glass.
// All are judged by the odour thresholds of the first.
import type { AxisId } from '#shared/ids.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import type { AxisChange } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { predicting } from '#engine/answer/answer.ts';
import { defaultValues, modelFor, type Model } from '#engine/tables/model.ts';
import { Clock, listening, pause, STOPPED, type Run } from '#optimize/pacing/clock.ts';
import { axisChanges, profileOf, type Profile } from '#optimize/problem/profile.ts';

/** A schedule and what it goes by among the others. */
export interface Titled {
  readonly title: string;
  readonly schedule: Schedule;
}

export interface BesideFirst {
  readonly prediction: Pick<Prediction, 'axes' | 'totals'>;
  /** Against the first; `null` for that itself. */
  readonly changes: Readonly<Record<AxisId, AxisChange>> | null;
}

/** One for each schedule, in their order. Fails where one cannot be predicted, with its title. */
export function* sideBySide(
  base: Model,
  asked: readonly Titled[],
): Run<null, Outcome<readonly BesideFirst[]>> {
  const model = modelFor(base, asked[0]?.schedule ?? {});
  const jnd = defaultValues(model)['aroma.jnd'];
  const found: BesideFirst[] = [];
  let first: Profile | null = null;
  const clock = new Clock(Infinity);
  for (const { title, schedule } of asked) {
    const profile = profileOf(model, schedule);
    if (!profile.ok) {
      return failure(...profile.problems.map((p) => ({ ...p, path: `${title}: ${p.path}` })));
    }
    const whole = yield* listening(clock, predicting(model, profile.value.design), () => null);
    if (!whole) return failure(STOPPED);
    const prediction = { axes: whole.axes, totals: whole.totals };
    found.push({ prediction, changes: first && axisChanges(model, first, prediction, jnd) });
    first ??= profile.value;
    yield* pause(clock, null);
    if (clock.stopped) return failure(STOPPED);
  }
  return success(found);
}
