// What a thread answers is shown in a task of its own, never in the frame of a move, and laid out there; of several
// that wait the newest alone.
import { afterEach, expect, test, vi } from 'vitest';
import { afterFrame, betweenFrames } from '#ui/kit/between-frames.ts';

afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

test('of what is heard before the page is free the newest is shown, once, and laid out', () => {
  vi.useFakeTimers();
  const frames = vi.fn();
  vi.stubGlobal('requestAnimationFrame', frames);
  const done: (number | 'laid out')[] = [];
  vi.stubGlobal('document', { body: { getBoundingClientRect: () => done.push('laid out') } });
  const hear = betweenFrames<number>((heard) => done.push(heard));
  hear(1);
  hear(2);
  expect(done).toEqual([]);
  vi.runAllTimers();
  expect(done).toEqual([2, 'laid out']);
  hear(3);
  vi.runAllTimers();
  expect(done).toEqual([2, 'laid out', 3, 'laid out']);
  expect(frames).not.toHaveBeenCalled();
});

test('what is to be asked after a frame waits for its scripts and its drawing', () => {
  vi.useFakeTimers();
  const frames: (() => void)[] = [];
  vi.stubGlobal('requestAnimationFrame', (then: () => void) => frames.push(then));
  const asked = vi.fn();
  afterFrame(asked);
  vi.runAllTimers();
  frames[0]!();
  expect(asked).not.toHaveBeenCalled();
  vi.runAllTimers();
  expect(asked).toHaveBeenCalledOnce();
});
