// Questions without a thread: each closes once, a newer one of its topic overtakes, others take turns.
import { describe, expect, it } from 'vitest';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Ask, Finding, Reply, Step, Topic } from '#optimize/worker/protocol.ts';
import type { QuestionRun } from '#optimize/worker/questions.ts';
import { QuestionService } from '#optimize/worker/question-service.ts';

const ask = (id: number, topic: Topic, question: unknown = 5) =>
  ({ kind: 'ask', id, topic, question }) as unknown as Ask;
const tick = () => new Promise<void>((resolve) => setImmediate(resolve));

class Played {
  readonly replies: Reply[] = [];
  clock = 0;
  dropped = 0;

  *search(steps: number): Generator<unknown, Outcome<unknown>, 'stop' | undefined> {
    let done = 0;
    try {
      for (; done < steps; done += 1) {
        this.clock += 10;
        if ((yield done) === 'stop') break;
      }
      return success(done);
    } finally {
      this.dropped += 1;
    }
  }

  service(open?: (ask: Ask) => QuestionRun): QuestionService {
    const usual = ({ question }: Ask) => this.search(question as unknown as number);
    return new QuestionService({
      open: open ?? ((a) => usual(a) as QuestionRun),
      reply: (reply) => this.replies.push(reply),
      rest: tick,
      now: () => this.clock,
    });
  }

  async closed(count: number): Promise<Reply[]> {
    const closing = () => this.replies.filter((r) => r.kind !== 'step');
    while (closing().length < count) await tick();
    return closing();
  }
}

describe('questions in turns', () => {
  it('answers, with a report at once and then seldom', async () => {
    const played = new Played();
    played.service().ask(ask(1, 'swap', 30));
    expect(await played.closed(1)).toEqual([{ kind: 'finding', id: 1, finding: 30 }]);
    const steps = played.replies.filter((r) => r.kind === 'step').map((r) => r.step as unknown);
    expect(steps).toEqual([0, 12, 24]);
  });

  it('lets topics take turns and the newest of a topic win', async () => {
    const played = new Played();
    const service = played.service();
    service.ask(ask(1, 'swap', 1000));
    service.ask(ask(2, 'save', 3));
    await tick();
    service.ask(ask(3, 'swap', 6));
    const closed = await played.closed(3);
    expect(closed.map((r) => [r.kind, r.id])).toEqual([
      ['overtaken', 1],
      ['finding', 2],
      ['finding', 3],
    ]);
  });

  it('ends with what is found when stopped, and says nothing more once forgotten', async () => {
    const played = new Played();
    const service = played.service();
    service.ask(ask(1, 'tradeoff', 100_000));
    service.ask(ask(2, 'swap', 100_000));
    for (let i = 0; i < 4; i += 1) await tick();
    service.stop(1);
    service.forget(2);
    const closed = await played.closed(2);
    expect(closed.map((r) => [r.kind, r.id])).toEqual([
      ['overtaken', 2],
      ['finding', 1],
    ]);
    expect(played.dropped).toBe(2);
  });

  it('closes what is refused and what breaks, and goes on', async () => {
    const played = new Played();
    const problem = { path: 'replace', message: 'not there', cure: 'Name another' };
    const opens = [
      function* (): Generator<Step<Topic>, Outcome<Finding<Topic>>> {
        return failure(problem);
      },
      () => {
        throw new Error('broken on purpose');
      },
      () => played.search(1) as QuestionRun,
    ];
    const service = played.service(() => opens.shift()!() as QuestionRun);
    for (const id of [1, 2, 3]) {
      service.ask(ask(id, 'explain'));
      await played.closed(id);
    }
    expect(await played.closed(3)).toMatchObject([
      { kind: 'refused', id: 1, problems: [problem] },
      { kind: 'failed', id: 2, reason: 'broken on purpose' },
      { kind: 'finding', id: 3 },
    ]);
  });
});
