// Tells when somebody is there: a page that is only opened works nothing out that nobody asked for.

/** Calls once, at the first move, press or key. @returns how to wait no longer. */
export function atFirstSign(then: () => void): () => void {
  const waiting = new AbortController();
  for (const sign of ['pointermove', 'pointerdown', 'keydown', 'focusin']) {
    window.addEventListener(
      sign,
      () => {
        waiting.abort();
        then();
      },
      { capture: true, passive: true, signal: waiting.signal },
    );
  }
  return () => waiting.abort();
}
