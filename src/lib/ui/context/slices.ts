// A prerendered page comes to life in slices, one a task, so that none holds up a press or a key. What follows
// from the whole of it (the kept workspace, presses kept till then) waits for the last.

const waiting: (() => void)[] = [];
let working: Promise<void> | null = null;

/** Does it in a task of its own, after those that asked before. @returns how to leave it undone. */
export function inTurn(work: () => void): () => void {
  waiting.push(work);
  working ??= workOff();
  return () => {
    const at = waiting.indexOf(work);
    if (at >= 0) waiting.splice(at, 1);
  };
}

/** When nothing waits for its turn any more. */
export async function everySlice(): Promise<void> {
  await working;
}

async function workOff(): Promise<void> {
  while (waiting.length > 0) {
    await new Promise((free) => setTimeout(free));
    waiting.shift()?.();
  }
  working = null;
}
