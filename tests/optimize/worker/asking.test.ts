// The screen's side of questions against a thread played by the test.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { NO_KNOWLEDGE } from '#shared/schemas/knowledge.ts';
import { Asking, type QuestionListener } from '#optimize/worker/asking.ts';
import type { Topic } from '#optimize/worker/protocol.ts';
import type { SearchThread } from '#optimize/worker/thread.ts';
import { PlayedThread } from '../support/threads.ts';

let threads: PlayedThread[];
let heard: string[];
let asking: Asking;
const last = () => threads.at(-1)!;
const question = {} as never;
const listener = (name: string): QuestionListener<Topic> => ({
  step: () => heard.push(`${name} step`),
  found: () => heard.push(`${name} found`),
  refused: () => heard.push(`${name} refused`),
  failed: (reason) => heard.push(`${name} failed ${reason}`),
});

beforeEach(() => {
  vi.useFakeTimers();
  threads = [];
  heard = [];
  asking = new Asking(() => {
    threads.push(new PlayedThread());
    return last();
  });
});
afterEach(() => vi.useRealTimers());

describe('asking', () => {
  it('starts its thread with the first question and keeps topics apart', () => {
    expect(threads).toHaveLength(0);
    asking.ask('swap', question, listener('swap'));
    asking.ask('save', question, listener('save'));
    expect(threads).toHaveLength(1);
    last().say({ kind: 'step', id: 2, step: null as never });
    last().say({ kind: 'finding', id: 1, finding: null as never });
    last().say({ kind: 'finding', id: 1, finding: null as never });
    last().say({ kind: 'refused', id: 2, problems: [] });
    expect(heard).toEqual(['save step', 'swap found', 'save refused']);
  });

  it('passes on only the newest question of a topic, and nothing forgotten', () => {
    asking.ask('swap', question, listener('old'));
    asking.ask('swap', question, listener('new'));
    last().say({ kind: 'finding', id: 1, finding: null as never });
    last().say({ kind: 'overtaken', id: 1 });
    expect(heard).toEqual([]);
    asking.forget('swap');
    last().say({ kind: 'finding', id: 2, finding: null as never });
    expect(heard).toEqual([]);
    expect(last().heard.at(-1)).toEqual({ kind: 'forget', id: 2 });
  });

  it('asks again in a new thread when the old one dies, and closes all when that does not help', () => {
    asking.ask('swap', question, listener('swap'));
    asking.ask('save', question, listener('save'));
    last().die('out of memory');
    expect(threads.map((t) => t.ended)).toEqual([true, false]);
    expect(last().heard.map((r) => r.kind === 'ask' && r.topic)).toEqual(['swap', 'save']);
    last().say({ kind: 'finding', id: 2, finding: null as never });
    last().die('out of memory');
    last().die('out of memory');
    expect(heard).toEqual(['save found']);
    last().die('out of memory');
    expect(heard).toEqual(['save found', 'swap failed out of memory']);
    asking.ask('swap', question, listener('swap'));
    expect(last().ended).toBe(false);
  });

  it('ends a thread that does not hear a stop, and leaves alone one that does', () => {
    asking.ask('swap', question, listener('swap'));
    asking.stop('swap');
    last().say({ kind: 'finding', id: 1, finding: null as never });
    vi.advanceTimersByTime(60_000);
    expect([last().ended, heard]).toEqual([false, ['swap found']]);
    asking.ask('swap', question, listener('swap'));
    asking.stop('swap');
    vi.advanceTimersByTime(60_000);
    expect(last().ended).toBe(true);
    expect(heard.at(-1)).toMatch(/failed/);
  });
});

describe('what tastings taught', () => {
  it('is told a new thread before anything else, and again to one that takes its place', () => {
    const learned = { version: 1, made: '', from: [], parameters: {}, tasters: {} };
    const sent: string[] = [];
    const threads: SearchThread[] = [];
    const asking = new Asking(() => {
      const thread: SearchThread = {
        onmessage: null,
        onended: null,
        postMessage: ({ kind }) => sent.push(kind),
        terminate: () => {},
      };
      threads.push(thread);
      return thread;
    });
    const listener = { step: () => {}, found: () => {}, refused: () => {}, failed: () => {} };
    asking.teach({ own: null, learned });
    expect(sent).toEqual([]);
    asking.ask('reach', {} as never, listener);
    asking.teach(NO_KNOWLEDGE);
    asking.teach({ own: null, learned });
    threads[0]!.onended!('killed');
    expect(sent).toEqual(['taught', 'ask', 'taught', 'taught', 'taught', 'ask']);
  });
});
