// What is heard between two frames is shown once, with the next, and it is the newest.
import { afterEach, expect, test, vi } from 'vitest';
import { withFrame } from '#ui/kit/with-frame.ts';

afterEach(() => vi.unstubAllGlobals());

test('of what is heard between two frames the newest is shown, once', () => {
  const asked: (() => void)[] = [];
  vi.stubGlobal('requestAnimationFrame', (draw: () => void) => asked.push(draw));
  const shown: number[] = [];
  const hear = withFrame<number>((heard) => shown.push(heard));
  hear(1);
  hear(2);
  expect(shown).toEqual([]);
  expect(asked).toHaveLength(1);
  asked.shift()!();
  expect(shown).toEqual([2]);
  hear(3);
  expect(asked).toHaveLength(1);
  asked.shift()!();
  expect(shown).toEqual([2, 3]);
});
