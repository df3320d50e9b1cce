// Undo and redo as plain values: what was, what is, what was taken back. Steps carry the name of the
// edit that led away from them, so that a button can say what it will undo.
// Edits of one gesture (one drag, one run of arrow keys) fall into one step.

/** Steps kept; the oldest is dropped beyond it. */
export const HISTORY_DEPTH = 100;

interface HistoryStep<T> {
  /** The edit that joins this value to its neighbour nearer the present. */
  readonly edit: string;
  readonly value: T;
}

export interface History<T> {
  readonly past: readonly HistoryStep<T>[];
  readonly present: T;
  readonly future: readonly HistoryStep<T>[];
  /** Gesture of the last edit, if it may still grow. */
  readonly gesture: string | null;
}

export function historyOf<T>(present: T): History<T> {
  return { past: [], present, future: [], gesture: null };
}

/**
 * Takes an edit in. With the `gesture` of the edit before, it replaces that edit's outcome and the
 * step back still leads to where the gesture began. What had been undone is forgotten.
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

/** The present replaced without a step: what follows from it by itself, like its answer. */
export function amended<T>(history: History<T>, present: T): History<T> {
  return { ...history, present };
}

/** Every value of the history changed alike: what came from elsewhere is no step of anybody's here. */
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
