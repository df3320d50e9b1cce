// Parts of a page start in their order, each in a task of its own.
import { expect, it } from 'vitest';
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
