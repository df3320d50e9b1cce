// What is heard between two frames of the screen, shown with the next one. Shown at once it is laid out when
// it comes, and again with the frame; of several only the newest is ever seen.

/** Shows the newest of what was heard once a frame; frames are asked of the browser. */
export function withFrame<T>(show: (heard: T) => void): (heard: T) => void {
  let newest: { readonly heard: T } | null = null;
  return (heard) => {
    if (newest === null) {
      requestAnimationFrame(() => {
        const { heard: last } = newest!;
        newest = null;
        show(last);
      });
    }
    newest = { heard };
  };
}
