// Leads to a part of a later question, both of which may still have to be made.

/** Unfolds a question of the design and brings a part of it into sight; not once its page is left. */
export function leadTo(question: string, part: string): void {
  const fold = document.getElementById(question);
  if (fold instanceof HTMLDetailsElement) fold.open = true;
  const found = document.getElementById(part);
  if (!found) {
    if (document.getElementById('blend')) requestAnimationFrame(() => leadTo(question, part));
    return;
  }
  found.scrollIntoView();
  // What comes into sight on the way is laid out only now, and may be of another height.
  requestAnimationFrame(() => requestAnimationFrame(() => found.scrollIntoView()));
}
