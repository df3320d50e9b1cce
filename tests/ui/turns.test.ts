// Parts of a page start in their order, each in a task of its own.
import { expect, it, vi } from 'vitest';
import { allStarted, inTurn } from '#ui/starting/turns.ts';

it('starts parts one after the other, each in a task of its own', async () => {
  const seen: string[] = [];
  inTurn(() => seen.push('a'));
  const leave = inTurn(() => seen.push('b'));
  inTurn(() => {
    seen.push('c');
    // A part may bring another.
    inTurn(() => seen.push('d'));
    setTimeout(() => seen.push('a person'));
  });
  expect(seen).toEqual([]);
  leave();
  await allStarted();
  expect(seen).toEqual(['a', 'c', 'a person', 'd']);
  await allStarted();
});

it('starts the parts after one that fails, and reports the failure', async () => {
  const reported = vi.fn();
  vi.stubGlobal('reportError', reported);
  const seen: string[] = [];
  const failure = new Error('this part is broken');
  inTurn(() => {
    throw failure;
  });
  inTurn(() => seen.push('after it'));
  await allStarted();
  inTurn(() => seen.push('later'));
  await allStarted();
  expect(seen).toEqual(['after it', 'later']);
  expect(reported).toHaveBeenCalledExactlyOnceWith(failure);
  vi.unstubAllGlobals();
});
