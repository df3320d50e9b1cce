// The search's thread without a thread: every request closes once, the newest wins, a stop is heard.
import { describe, expect, it } from 'vitest';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief, Target } from '#shared/schemas/brief.ts';
import type { DesignProgress } from '#optimize/questions/options.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import { wishesAround } from '#optimize/live/wishes-around.ts';
import type { Reply } from '#optimize/worker/protocol.ts';
import {
  DesignService,
  type DesignSearch,
  type DesignHost,
} from '#optimize/worker/design-service.ts';

const progress = (n: number): DesignProgress => ({
  best: null,
  objective: n,
  lower_bound: 0,
  gap: 1,
  milliseconds: n,
});
const answer = (lower_bound: number): DesignAnswer => ({
  status: 'optimal',
  lower_bound,
  gap: 0,
  milliseconds: 1,
  blends: [],
  why: { left_out: [], notes: [] },
});
const brief = {} as Brief;
const blend = { worst_miss: 3 } as LiveBlend;

/** A search of so many steps; says how many it took, and whether it was dropped half-way. */
class Bench {
  readonly replies: Reply[] = [];
  clock = 0;
  dropped = 0;
  paused = 0;
  heardStop = 0;

  *steps(count: number): DesignSearch {
    let step = 0;
    try {
      for (; step < count; step += 1) {
        this.clock += 5;
        if ((yield progress(step)) === 'stop') {
          this.heardStop += 1;
          break;
        }
      }
      return success(answer(step));
    } finally {
      if (step < count && this.heardStop === 0) this.dropped += 1;
    }
  }

  /** A live blend found after so many steps. */
  *blend(steps: number): ReturnType<DesignHost['live']> {
    for (let step = 0; step < steps; step += 1) {
      this.clock += 5;
      yield;
    }
    return success(blend);
  }

  service(open: DesignHost['open'], live: DesignHost['live'] = () => this.blend(0)): DesignService {
    return new DesignService({
      open,
      live,
      describe: (a) => ({ answer: a, evidence: [] }),
      reply: (reply) => this.replies.push(reply),
      rest: () => new Promise((resolve) => setImmediate(resolve)),
      pause: () => {
        this.paused += 1;
        return new Promise((resolve) => setImmediate(resolve));
      },
      now: () => this.clock,
    });
  }

  async closing(count: number): Promise<Reply[]> {
    const closed = () => this.replies.filter((r) => r.kind !== 'progress');
    while (closed().length < count) await new Promise((resolve) => setImmediate(resolve));
    return closed();
  }
}

describe('service', () => {
  it('answers, with progress no oftener than once a slice', async () => {
    const bench = new Bench();
    const service = bench.service(() => bench.steps(9));
    service.design({ kind: 'design', id: 1, brief, options: {} });
    const [reply] = await bench.closing(1);
    expect(reply).toMatchObject({
      kind: 'answer',
      id: 1,
      designed: { answer: { lower_bound: 9 } },
    });
    expect(bench.replies.filter((r) => r.kind === 'progress')).toHaveLength(4);
  });

  it('drops a search for a newer one and closes both', async () => {
    const bench = new Bench();
    const service = bench.service(() => bench.steps(1000));
    service.design({ kind: 'design', id: 1, brief, options: {} });
    await new Promise((resolve) => setImmediate(resolve));
    service.design({ kind: 'design', id: 2, brief, options: {} });
    service.design({ kind: 'design', id: 3, brief, options: {} });
    const closed = await bench.closing(3);
    expect(closed.map((r) => [r.kind, r.id])).toEqual([
      ['overtaken', 2],
      ['overtaken', 1],
      ['answer', 3],
    ]);
    expect(bench.dropped).toBe(1);
  });

  it('hears a stop between slices and answers with the best so far', async () => {
    const bench = new Bench();
    const service = bench.service(() => bench.steps(100_000));
    service.design({ kind: 'design', id: 1, brief, options: {} });
    for (let i = 0; i < 5; i += 1) await new Promise((resolve) => setImmediate(resolve));
    service.stop(99);
    service.stop(1);
    const [reply] = await bench.closing(1);
    expect(reply?.kind).toBe('answer');
    expect(bench.heardStop).toBe(1);
    expect(bench.clock).toBeLessThan(200);
  });

  it('hears a stop that came before the first step', async () => {
    const bench = new Bench();
    const service = bench.service(() => bench.steps(100_000));
    service.design({ kind: 'design', id: 1, brief, options: {} });
    service.stop(1);
    expect((await bench.closing(1))[0]?.kind).toBe('answer');
  });

  it('answers dragged wishes after at most one slice and gives up the design', async () => {
    const bench = new Bench();
    const service = bench.service(() => bench.steps(100_000));
    service.design({ kind: 'design', id: 1, brief, options: {} });
    for (let i = 0; i < 3; i += 1) await new Promise((resolve) => setImmediate(resolve));
    const before = bench.clock;
    for (const id of [2, 3, 4]) service.live({ kind: 'live', id, brief, hops: [] });
    expect((await bench.closing(4)).map((r) => [r.kind, r.id]).sort()).toEqual([
      ['live', 4],
      ['overtaken', 1],
      ['overtaken', 2],
      ['overtaken', 3],
    ]);
    // Steps of the played search take 5 ms, so a slice of 8 ms ends after 10.
    expect(bench.clock - before).toBeLessThanOrEqual(10);
    expect(bench.dropped).toBe(1);
    service.design({ kind: 'design', id: 5, brief, options: {} });
    service.live({ kind: 'live', id: 6, brief, hops: [] });
    expect((await bench.closing(6)).slice(4).map((r) => [r.kind, r.id])).toEqual([
      ['overtaken', 5],
      ['live', 6],
    ]);
  });

  it('gives up dragged wishes at work for a new design, after at most one slice', async () => {
    const bench = new Bench();
    const service = bench.service(
      () => bench.steps(1),
      () => bench.blend(100_000),
    );
    service.live({ kind: 'live', id: 1, brief, hops: [] });
    for (let i = 0; i < 3; i += 1) await new Promise((resolve) => setImmediate(resolve));
    service.live({ kind: 'live', id: 2, brief, hops: [] });
    const before = bench.clock;
    service.design({ kind: 'design', id: 3, brief, options: {} });
    expect((await bench.closing(3)).map((r) => [r.kind, r.id]).sort()).toEqual([
      ['answer', 3],
      ['overtaken', 1],
      ['overtaken', 2],
    ]);
    expect(bench.clock - before).toBeLessThanOrEqual(15);
  });

  it('answers dragged wishes that take long one at a time, and drops what it only got ready for', async () => {
    const bench = new Bench();
    let [open, most] = [0, 0];
    const service = bench.service(
      () => bench.steps(1),
      function* (asked) {
        open += 1;
        most = Math.max(most, open);
        try {
          return yield* bench.blend(asked.name === 'likely' ? 100_000 : 20);
        } finally {
          open -= 1;
        }
      },
    );
    service.ready({ name: 'likely', target: {} } as Brief, [], false);
    for (let i = 0; i < 3; i += 1) await new Promise((resolve) => setImmediate(resolve));
    service.live({ kind: 'live', id: 1, brief, hops: [] });
    for (let i = 0; i < 4; i += 1) await new Promise((resolve) => setImmediate(resolve));
    for (const id of [2, 3]) service.live({ kind: 'live', id, brief, hops: [] });
    expect((await bench.closing(3)).map((r) => [r.kind, r.id])).toEqual([
      ['overtaken', 2],
      ['live', 1],
      ['live', 3],
    ]);
    expect(most).toBe(1);
    expect(bench.clock).toBeLessThan(300);
  });

  it('goes once through the wishes around those that may be dragged', async () => {
    const bench = new Bench();
    const asked: Target[] = [];
    const service = bench.service(
      () => bench.steps(1),
      function* ({ target }) {
        asked.push(target);
        return yield* bench.blend(1);
      },
    );
    const likely = { target: { citrus: { aim: 2, within: 0.4 } } } as unknown as Brief;
    const settled = async () => {
      for (let i = 0; i < 400; i += 1) await new Promise((resolve) => setImmediate(resolve));
    };
    service.ready(likely, [], false);
    await settled();
    expect(asked).toEqual([likely.target, ...wishesAround(likely.target)]);
    service.ready(likely, [], false);
    await settled();
    expect(asked.slice(1 + wishesAround(likely.target).length)).toEqual([likely.target]);
    expect(bench.replies).toEqual([]);
  });

  it('leaves time to others where it gets ready slowly, until a wish is dragged', async () => {
    const bench = new Bench();
    const service = bench.service(
      () => bench.steps(1),
      ({ name }) => bench.blend(name === 'likely' ? 100_000 : 20),
    );
    service.ready({ name: 'likely', target: {} } as Brief, [], true);
    for (let i = 0; i < 5; i += 1) await new Promise((resolve) => setImmediate(resolve));
    const { paused } = bench;
    expect(paused).toBeGreaterThan(2);
    service.live({ kind: 'live', id: 1, brief, hops: [] });
    expect(await bench.closing(1)).toMatchObject([{ kind: 'live', id: 1 }]);
    expect(bench.paused).toBeLessThanOrEqual(paused + 1);
  });

  it('closes dragged wishes that cannot be asked or break', async () => {
    const bench = new Bench();
    const problem = { path: 'limits', message: 'they clash', cure: 'Loosen one' };
    const lives: DesignHost['live'][] = [
      function* () {
        return failure(problem);
      },
      () => {
        throw new Error('broken on purpose');
      },
    ];
    const service = bench.service(
      () => bench.steps(1),
      (...asked) => lives.shift()!(...asked),
    );
    service.live({ kind: 'live', id: 1, brief, hops: [] });
    await bench.closing(1);
    service.live({ kind: 'live', id: 2, brief, hops: [] });
    expect(await bench.closing(2)).toMatchObject([
      { kind: 'refused', id: 1, problems: [problem] },
      { kind: 'failed', id: 2, reason: 'broken on purpose' },
    ]);
  });

  it('replies to a brief that cannot be designed from, and to a search that breaks', async () => {
    const bench = new Bench();
    const problem = { path: 'target', message: 'nothing is wished', cure: 'Wish something' };
    const opens: (() => DesignSearch)[] = [
      function* (): Generator<DesignProgress, Outcome<DesignAnswer>, 'stop' | undefined> {
        return failure(problem);
      },
      () => {
        throw new Error('broken on purpose');
      },
      () => bench.steps(2),
    ];
    const service = bench.service(() => opens.shift()!());
    for (const id of [1, 2, 3]) {
      service.design({ kind: 'design', id, brief, options: {} });
      await bench.closing(id);
    }
    expect(await bench.closing(3)).toMatchObject([
      { kind: 'refused', id: 1, problems: [problem] },
      { kind: 'failed', id: 2, reason: 'broken on purpose' },
      { kind: 'answer', id: 3 },
    ]);
  });
});
