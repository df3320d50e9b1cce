// Tells a component whether its element is on the screen, so that it need not redraw while nobody sees it.
import type { Attachment } from 'svelte/attachments';

/** Tells whether any of the element is in the window, at first and at each change. */
export function inView(tell: (seen: boolean) => void): Attachment {
  return (element) => {
    const observer = new IntersectionObserver((entries) => tell(entries.at(-1)!.isIntersecting));
    observer.observe(element);
    return () => observer.disconnect();
  };
}
