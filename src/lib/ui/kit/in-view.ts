// Whether an element is on the screen, told to who draws it: what nobody sees need not follow a hand.
import type { Attachment } from 'svelte/attachments';

/** Tells whether any of the element is in the window, at first and at each change. */
export function inView(tell: (seen: boolean) => void): Attachment {
  return (element) => {
    const observer = new IntersectionObserver((entries) => tell(entries.at(-1)!.isIntersecting));
    observer.observe(element);
    return () => observer.disconnect();
  };
}
