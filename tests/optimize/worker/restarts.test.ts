// A thousand designs begun, dragged over, stopped, overtaken and begun anew, once against the real event
// loop and once against a played clock: every request closes once, nothing stale is shown, the last
// is answered.
import { afterEach, describe, expect, it, vi } from 'vitest';
import { success } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { SearchClient } from '#optimize/worker/client.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed, Reply, ThreadRequest } from '#optimize/worker/protocol.ts';
import { DesignService, type DesignSearch } from '#optimize/worker/design-service.ts';
import type { SearchThread } from '#optimize/worker/thread.ts';

const ROUNDS = 1000;

/** Client and service with a wire between them that delivers later, as a worker's does. */
function wired(later: (work: () => void) => void, now: () => number) {
  const asked = new Map<number, string>();
  const closings = new Map<number, number>();
  const shown: string[] = [];
  let ended = false;
  const start = (): SearchThread => {
    const thread: SearchThread = {
      onmessage: null,
      onended: null,
      postMessage: (request: ThreadRequest) => later(() => !ended && hear(request)),
      terminate: () => (ended = true),
    };
    const reply = (r: Reply) => {
      if (r.kind !== 'progress') closings.set(r.id, (closings.get(r.id) ?? 0) + 1);
      later(() => thread.onmessage?.({ data: r } as MessageEvent<Reply>));
    };
    const service = new DesignService({
      open: (brief) => search(brief),
      *live(brief) {
        yield;
        return success({ said: brief.name } as unknown as LiveBlend);
      },
      describe: (answer) => answer as unknown as Designed,
      reply,
      rest: () => new Promise((resolve) => later(resolve)),
      pause: () => new Promise((resolve) => later(resolve)),
      now,
    });
    const hear = (request: ThreadRequest) => {
      if ('id' in request && request.kind !== 'stop') asked.set(request.id, request.kind);
      if (request.kind === 'design') service.design(request);
      else if (request.kind === 'live') service.live(request);
      else if (request.kind === 'stop') service.stop(request.id);
    };
    return thread;
  };
  const client = new SearchClient(start, {
    live: (blend) => shown.push((blend as unknown as { said: string }).said),
    progress: () => {},
    answered: (designed) => shown.push((designed as unknown as { said: string }).said),
    refused: () => shown.push('refused'),
    failed: (reason) => shown.push(`failed ${reason}`),
  });
  return { client, asked, closings, shown };
}

function* search({ name }: Brief): DesignSearch {
  for (let step = 0; step < 40; step += 1) {
    if ((yield { milliseconds: step } as never) === 'stop') break;
  }
  return success({ said: name } as never);
}

async function through(
  { client, asked, closings, shown }: ReturnType<typeof wired>,
  pause: (turns: number) => Promise<void>,
): Promise<void> {
  const random = randomFrom(0.41);
  let newest = -1;
  for (let round = 0; round < ROUNDS; round += 1) {
    const brief = { name: `${round}` } as Brief;
    if (random.uniform() < 0.5) client.design(brief);
    else client.live(brief, []);
    if (random.uniform() < 0.3) client.stop();
    await pause(Math.floor(random.uniform() * 6));
    // Never older than what was shown before, never from the future.
    const last = Number(shown.at(-1) ?? -1);
    expect(last).toBeGreaterThanOrEqual(newest);
    expect(last).toBeLessThanOrEqual(round);
    newest = last;
  }
  client.design({ name: `${ROUNDS}` } as Brief);
  await pause(400);
  expect(shown.at(-1)).toBe(`${ROUNDS}`);
  expect(shown.filter((s) => s.includes(' '))).toEqual([]);
  expect(shown.length).toBeGreaterThan(ROUNDS / 5);
  expect(asked.size).toBeGreaterThan(ROUNDS / 2);
  for (const [id] of asked) expect([id, closings.get(id)]).toEqual([id, 1]);
  expect(closings.size).toBe(asked.size);
}

afterEach(() => vi.useRealTimers());

describe('a thousand restarts', () => {
  it('lose and mix up nothing on the real event loop', async () => {
    const turn = () => new Promise<void>((resolve) => setImmediate(resolve));
    const pair = wired(
      (work) => setImmediate(work),
      () => performance.now(),
    );
    await through(pair, async (turns) => {
      for (let i = 0; i < turns; i += 1) await turn();
    });
  });

  it('lose and mix up nothing on a played clock', async () => {
    vi.useFakeTimers();
    const pair = wired(
      (work) => setTimeout(work, 1),
      () => Date.now(),
    );
    await through(pair, async (turns) => {
      await vi.advanceTimersByTimeAsync(turns * 3);
    });
  });
});
