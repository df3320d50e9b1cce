// Predictions of schedules with a played thread: each is asked once, one after the other, and what was learned
// since makes them anew.
import { describe, expect, it } from 'vitest';
import type { Prediction } from '#shared/answers/prediction.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Asker } from '#state/workbench/inquiry.svelte.ts';
import { SchedulePredictions } from '#state/workbench/schedule-predictions.svelte.ts';

type Heard = Parameters<Asker['ask']>;

const schedule = (name: string) => ({ name }) as Schedule;
const prediction = (name: string) => ({ name }) as Prediction;
const tick = () => new Promise<void>((resolve) => queueMicrotask(resolve));

function played() {
  const asked: Heard[] = [];
  const taught: OwnKnowledge[] = [];
  let knowledge = NO_KNOWLEDGE;
  const predictions = new SchedulePredictions(
    {
      ask: (...heard) => void asked.push(heard as Heard),
      teach: (what) => void taught.push(what),
    },
    // A new object each time, as whoever derives it may hand out.
    () => ({ ...knowledge }),
  );
  const learn = (what: OwnKnowledge) => (knowledge = what);
  return { asked, taught, predictions, learn };
}

describe('predictions of schedules', () => {
  it('are nothing until they are there, and asked once', async () => {
    const { asked, predictions } = played();
    expect(predictions.of(schedule('a'))).toBe(null);
    expect(predictions.of(schedule('a'))).toBe(null);
    await tick();
    expect(asked.map(([topic, question]) => [topic, question])).toEqual([
      ['schedule', { schedule: schedule('a'), untaught: false }],
    ]);
    asked[0]![2].found(prediction('a') as never);
    expect(predictions.of(schedule('a'))).toEqual({ ok: true, value: prediction('a') });
    await tick();
    expect(asked.length).toBe(1);
  });

  it('are asked one after the other, the newest first, with and without what was learned', async () => {
    const { asked, predictions } = played();
    predictions.of(schedule('a'));
    await tick();
    predictions.of(schedule('b'));
    predictions.of(schedule('b'), 'untaught');
    await tick();
    expect(asked.length).toBe(1);
    asked[0]![2].found(prediction('a') as never);
    expect(asked[1]![1]).toEqual({ schedule: schedule('b'), untaught: true });
    asked[1]![2].found(prediction('b') as never);
    expect(asked[2]![1]).toEqual({ schedule: schedule('b'), untaught: false });
    expect(predictions.of(schedule('b'))).toBe(null);
    expect(predictions.of(schedule('b'), 'untaught')).toEqual({ ok: true, value: prediction('b') });
  });

  it('say why there is none, and go on', async () => {
    const { asked, predictions } = played();
    const problem = { path: 'additions[0].hop', message: 'm', cure: 'c' };
    predictions.of(schedule('a'));
    predictions.of(schedule('b'));
    await tick();
    asked[0]![2].refused([problem]);
    expect(predictions.of(schedule('b'))).toEqual({ ok: false, problems: [problem] });
    asked[1]![2].failed('gone');
    expect(predictions.of(schedule('a'))).toMatchObject({
      ok: false,
      problems: [{ message: expect.stringContaining('gone') as string, cure: 'Reload the page' }],
    });
  });

  it('are worked out anew of what was learned since, and never mixed with it', async () => {
    const { asked, taught, predictions, learn } = played();
    predictions.of(schedule('a'));
    await tick();
    expect(taught.at(-1)).toEqual(NO_KNOWLEDGE);
    const more = { own: null, learned: { version: 1 } as never };
    learn(more);
    expect(predictions.of(schedule('a'))).toBe(null);
    await tick();
    asked[0]![2].found(prediction('before') as never);
    expect(predictions.of(schedule('a'))).toBe(null);
    expect(taught.at(-1)).toEqual(more);
    asked[1]![2].found(prediction('after') as never);
    expect(predictions.of(schedule('a'))).toEqual({ ok: true, value: prediction('after') });
  });
});
