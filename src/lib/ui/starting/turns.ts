// Starts the parts of a page one after the other, each in a task of its own, so that what a person does meanwhile is
// heard between two parts and not after the last.
import type { Component } from 'svelte';
import { render } from 'svelte/server';

/** The HTML of a component for its page, to be started later; none in a browser. */
export function htmlOf<Props extends Record<string, unknown>>(
  component: Component<Props>,
  given: {
    readonly props: Props;
    readonly context: Map<unknown, unknown>;
    readonly idPrefix: string;
  },
): string {
  return import.meta.env.SSR ? render(component, given).body : '';
}

const waiting = new Set<() => void>();
let running: Promise<void> | null = null;

const nextTask = () => new Promise((resolve) => setTimeout(resolve));

async function startAll(): Promise<void> {
  await nextTask();
  for (const start of waiting) {
    waiting.delete(start);
    try {
      start();
    } catch (failure) {
      // The other parts start all the same.
      reportError(failure);
    }
    await nextTask();
  }
  running = null;
}

/** Starts a part when its turn comes. @returns how not to start it any more. */
export function inTurn(start: () => void): () => void {
  waiting.add(start);
  running ??= startAll();
  return () => waiting.delete(start);
}

/** When all parts that wait have started. */
export function allStarted(): Promise<void> {
  return running ?? Promise.resolve();
}
