// Shows messages with the next frame of the screen. Shown as it comes, each would be laid out twice; of several
// between two frames only the newest is ever seen.

/** Shows the newest message once a frame, as the browser paints. */
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
