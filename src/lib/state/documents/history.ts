// Undo and redo as plain values: earlier values, the present one, and those taken back. Each step has the name
// of the edit that followed it, so that a button can say what it will undo. The edits of one gesture (one drag,
// one run of arrow keys) become one step.

/** Number of steps kept; further ones drop the oldest. */
export const HISTORY_DEPTH = 100;

interface HistoryStep<T> {
  /** Name of the edit between this value and its neighbour nearer the present. */
  readonly edit: string;
  readonly value: T;
}

export interface History<T> {
  readonly past: readonly HistoryStep<T>[];
  readonly present: T;
  readonly future: readonly HistoryStep<T>[];
  /** Gesture of the last edit, while more edits may join it; `null`: none may. */
  readonly gesture: string | null;
}

export function historyOf<T>(present: T): History<T> {
  return { past: [], present, future: [], gesture: null };
}

/**
 * Adds an edit. With the `gesture` of the edit before, it replaces that edit's result, and undo leads to where
 * the gesture began. Steps that had been undone are dropped.
 */
export function edited<T>(
  history: History<T>,
  edit: string,
  value: T,
  gesture: string | null = null,
): History<T> {
  const grows = gesture !== null && gesture === history.gesture && history.past.length > 0;
  const before = grows ? history.past.at(-1)!.value : history.present;
  const kept = grows ? history.past.slice(0, -1) : history.past;
  const past = [...kept, { edit, value: before }].slice(-HISTORY_DEPTH);
  return { past, present: value, future: [], gesture };
}

/** Replaces the present without a step, by what follows from it, such as its answer. */
export function amended<T>(history: History<T>, present: T): History<T> {
  return { ...history, present };
}

/** Changes every value of the history alike: what came from elsewhere is not a step of this person. */
export function mapped<T>(history: History<T>, change: (value: T) => T): History<T> {
  const step = ({ edit, value }: HistoryStep<T>) => ({ edit, value: change(value) });
  return {
    past: history.past.map(step),
    present: change(history.present),
    future: history.future.map(step),
    gesture: history.gesture,
  };
}

/** One step back; the same history when there is none. */
export function undone<T>(history: History<T>): History<T> {
  const step = history.past.at(-1);
  if (!step) return history;
  return {
    past: history.past.slice(0, -1),
    present: step.value,
    future: [{ edit: step.edit, value: history.present }, ...history.future],
    gesture: null,
  };
}

/** One step forward again; the same history when there is none. */
export function redone<T>(history: History<T>): History<T> {
  const step = history.future[0];
  if (!step) return history;
  return {
    past: [...history.past, { edit: step.edit, value: history.present }],
    present: step.value,
    future: history.future.slice(1),
    gesture: null,
  };
}

/** Name of the edit that `undone` takes back. */
export function undoName<T>(history: History<T>): string | null {
  return history.past.at(-1)?.edit ?? null;
}

/** Name of the edit that `redone` brings back. */
export function redoName<T>(history: History<T>): string | null {
  return history.future[0]?.edit ?? null;
}
