// Kept answers: handed out to the program that found them alone, each to its own question, the latest of many.
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, expect, it } from 'vitest';
import './browser-store.ts';
import { Answers } from '#storage/answers.ts';

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

const opened = async (version: string) => (await Answers.open(version))!;
/** What a page opened now finds; writes come before reads that are asked for later. */
async function found(version: string, question: string): Promise<unknown> {
  const answers = await opened(version);
  const kept = await answers.find(question);
  answers.close();
  return kept;
}

it('an answer is found on the next visit, by the same program and the same question alone', async () => {
  const first = await opened('v1');
  expect(first.find('one')).toBeNull();
  first.keep('one', { grams: 5 });
  expect(await first.find('one')).toEqual({ grams: 5 });
  first.close();
  expect(await found('v1', 'one')).toEqual({ grams: 5 });
  expect(await found('v1', 'two')).toBeNull();
  expect(await found('v2', 'one')).toBeNull();
});

it('of many answers the latest stay', async () => {
  const answers = await opened('v1');
  for (let i = 0; i < 70; i += 1) answers.keep(`question ${i}`, i);
  expect(await answers.find('question 69')).toBe(69);
  answers.close();
  const later = await opened('v1');
  const left = await Promise.all(
    Array.from({ length: 70 }, async (_, i) => later.find(`question ${i}`)),
  );
  later.close();
  expect(left.filter((kept) => kept !== null)).toHaveLength(60);
  expect(left.at(-1)).toBe(69);
});

it('a browser that keeps nothing has no answers', async () => {
  globalThis.indexedDB = {
    open: () => {
      throw new DOMException('no', 'SecurityError');
    },
  } as unknown as IDBFactory;
  expect(await Answers.open('v1')).toBeNull();
});
