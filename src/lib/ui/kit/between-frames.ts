// Asks a thread, and shows what it answers, while a hand moves, between two frames of the screen: the next frame then
// has only its move to work out, and the answer to paint with it. Of several that wait only the newest is ever seen.
import { flushSync } from 'svelte';

/**
 * Shows the newest message as soon as the page is free, and has it laid out there and then: left to the next frame,
 * that would come between the hand and what is painted for it. What the page has to hear already comes first.
 */
export function betweenFrames<T>(show: (heard: T) => void): (heard: T) => void {
  let newest: { readonly heard: T } | null = null;
  return (heard) => {
    if (newest === null) {
      setTimeout(() => {
        const { heard: last } = newest!;
        newest = null;
        show(last);
        flushSync();
        document.body.getBoundingClientRect();
      });
    }
    newest = { heard };
  };
}

/** Calls once the frame that is being worked out is drawn. */
export function afterFrame(then: () => void): void {
  requestAnimationFrame(() => setTimeout(then));
}
