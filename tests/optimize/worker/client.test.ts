// The screen's side against a worker played by the test: newest wins, the dead are replaced, the
// deaf are ended.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { SearchClient } from '#optimize/worker/client.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed } from '#optimize/worker/protocol.ts';
import { PlayedThread } from '../support/threads.ts';

const brief = (name: string) => ({ name }) as Brief;
const designed = (lower_bound: number) => ({ answer: { lower_bound } }) as unknown as Designed;

let threads: PlayedThread[];
let heard: unknown[][];
let client: SearchClient;
const last = () => threads.at(-1)!;

beforeEach(() => {
  threads = [];
  heard = [];
  client = new SearchClient(
    () => {
      threads.push(new PlayedThread());
      return last();
    },
    {
      live: (blend) => heard.push(['live', blend.worst_miss]),
      progress: (p) => heard.push(['progress', p.objective]),
      answered: (d) => heard.push(['answered', d.answer.lower_bound]),
      refused: (p) => heard.push(['refused', p.length]),
      failed: (reason) => heard.push(['failed', reason]),
    },
  );
});
afterEach(() => vi.useRealTimers());

describe('client', () => {
  it('starts one worker, early if asked', () => {
    client.ready(brief('a'), [], true);
    client.ready(brief('a'), [], false);
    client.design(brief('a'));
    expect(threads).toHaveLength(1);
    expect(last().heard.map((r) => r.kind)).toEqual(['ready', 'ready', 'design']);
  });

  it('passes on only what belongs to the newest request', () => {
    client.design(brief('a'));
    client.design(brief('b'));
    last().say({ kind: 'answer', id: 1, designed: designed(1) });
    last().say({ kind: 'overtaken', id: 1 });
    last().say({ kind: 'answer', id: 2, designed: designed(2) });
    last().say({ kind: 'answer', id: 2, designed: designed(3) });
    expect(heard).toEqual([['answered', 2]]);
  });

  it('passes on refusals and failures', () => {
    client.design(brief('a'));
    last().say({ kind: 'refused', id: 1, problems: [{ path: '', message: 'm', cure: 'c' }] });
    client.design(brief('b'));
    last().say({ kind: 'failed', id: 2, reason: 'odd' });
    expect(heard).toEqual([
      ['refused', 1],
      ['failed', 'odd'],
    ]);
  });

  it('replaces a worker that died and asks again, a few times', () => {
    client.design(brief('a'));
    last().die('out of memory');
    expect(threads).toHaveLength(2);
    expect(last().heard).toMatchObject([{ kind: 'design', id: 1, brief: { name: 'a' } }]);
    last().die('out of memory');
    expect(threads).toHaveLength(3);
    last().die('out of memory');
    expect(threads).toHaveLength(3);
    expect(threads.every((t) => t.ended)).toBe(true);
    expect(heard).toEqual([['failed', 'out of memory']]);
  });

  it('starts anew after it gave up', () => {
    client.design(brief('a'));
    for (let i = 0; i < 3; i += 1) last().die('gone');
    client.design(brief('b'));
    last().say({ kind: 'answer', id: 2, designed: designed(7) });
    expect(heard.at(-1)).toEqual(['answered', 7]);
  });

  it('stops only what is open', () => {
    client.stop();
    expect(threads).toHaveLength(0);
    client.design(brief('a'));
    client.stop();
    expect(last().heard.at(-1)).toEqual({ kind: 'stop', id: 1 });
  });

  it('ends a worker that does not hear the stop', () => {
    vi.useFakeTimers();
    client.design(brief('a'));
    client.stop();
    vi.advanceTimersByTime(60_000);
    expect(last().ended).toBe(true);
    expect(heard).toHaveLength(1);
    expect(heard[0]![0]).toBe('failed');
  });

  it('leaves a worker alone that answered the stop', () => {
    vi.useFakeTimers();
    client.design(brief('a'));
    client.stop();
    last().say({ kind: 'answer', id: 1, designed: designed(1) });
    vi.advanceTimersByTime(60_000);
    expect(last().ended).toBe(false);
    expect(heard).toEqual([['answered', 1]]);
  });

  it('says nothing after it was closed', () => {
    client.design(brief('a'));
    client.close();
    last().say({ kind: 'answer', id: 1, designed: designed(1) });
    expect(heard).toEqual([]);
    expect(last().ended).toBe(true);
  });
});

describe('dragged wishes', () => {
  const blend = (worst_miss: number) => ({ worst_miss }) as LiveBlend;
  const names = () =>
    last().heard.map((r) => ('brief' in r ? `${r.kind} ${r.brief.name}` : r.kind));

  it('have one question on its way and the newest waiting', () => {
    for (const name of ['a', 'b', 'c', 'd']) client.live(brief(name), []);
    expect(names()).toEqual(['live a']);
    last().say({ kind: 'live', id: 1, blend: blend(1) });
    expect(names()).toEqual(['live a', 'live d']);
    last().say({ kind: 'live', id: 2, blend: blend(2) });
    expect(names()).toEqual(['live a', 'live d']);
    expect(heard).toEqual([
      ['live', 1],
      ['live', 2],
    ]);
  });

  it('are sent once their own frame is drawn, the newest alone, and not after a design was asked for', () => {
    const frames: (() => void)[] = [];
    const { thread, listener } = { thread: new PlayedThread(), listener: { live: () => {} } };
    const patient = new SearchClient(
      () => thread,
      listener as unknown as ConstructorParameters<typeof SearchClient>[1],
      (send) => frames.push(send),
    );
    const sent = () =>
      thread.heard.map((r) => ('brief' in r ? `${r.kind} ${r.brief.name}` : r.kind));
    patient.live(brief('a'), []);
    patient.live(brief('b'), []);
    expect([sent(), frames.length]).toEqual([[], 1]);
    frames.shift()!();
    expect(sent()).toEqual(['live b']);
    thread.say({ kind: 'live', id: 1, blend: blend(1) });
    patient.live(brief('c'), []);
    patient.design(brief('d'));
    frames.shift()!();
    expect(sent()).toEqual(['live b', 'design d']);
  });

  it('give up an open design, of which nothing more is heard', () => {
    client.design(brief('a'));
    client.live(brief('b'), []);
    last().say({ kind: 'answer', id: 1, designed: designed(1) });
    last().say({ kind: 'overtaken', id: 1 });
    last().say({ kind: 'live', id: 2, blend: blend(2) });
    expect(heard).toEqual([['live', 2]]);
  });

  it('are forgotten once there is something to design', () => {
    client.live(brief('a'), []);
    client.live(brief('b'), []);
    client.design(brief('c'));
    last().say({ kind: 'live', id: 1, blend: blend(1) });
    expect(names()).toEqual(['live a', 'design c']);
    expect(heard).toEqual([]);
  });

  it('go on after a refusal, a failure and a death', () => {
    client.live(brief('a'), []);
    last().say({ kind: 'refused', id: 1, problems: [] });
    client.live(brief('b'), []);
    last().say({ kind: 'failed', id: 2, reason: 'odd' });
    client.live(brief('c'), []);
    last().die('gone');
    expect(names()).toEqual(['live c']);
    for (let i = 0; i < 3; i += 1) last().die('gone');
    client.live(brief('d'), []);
    last().say({ kind: 'live', id: 4, blend: blend(4) });
    expect(heard).toEqual([['live', 4]]);
  });
});
