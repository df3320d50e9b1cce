// Undo and redo against a plain model: lists of values.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  HISTORY_DEPTH,
  edited,
  historyOf,
  redoName,
  redone,
  undoName,
  undone,
} from '#state/documents/history.ts';

describe('history', () => {
  it('steps back and forth and names the edit it takes back', () => {
    const history = edited(edited(historyOf(1), 'two', 2), 'three', 3);
    expect(undoName(history)).toBe('three');
    const back = undone(history);
    expect([back.present, undoName(back), redoName(back)]).toEqual([2, 'two', 'three']);
    expect(redone(back).present).toBe(3);
    expect(undoName(redone(back))).toBe('three');
  });

  it('makes one step of a gesture, named by where it ended', () => {
    let history = edited(historyOf(0), 'before', 1);
    for (const value of [2, 3, 4]) history = edited(history, `to ${value}`, value, 'drag 1');
    expect(undoName(history)).toBe('to 4');
    expect(undone(history).present).toBe(1);
  });

  it('starts a new step when the gesture is another or was interrupted', () => {
    const first = edited(historyOf(0), 'a', 1, 'keys 1');
    expect(undone(edited(first, 'b', 2, 'keys 2')).present).toBe(1);
    const interrupted = redone(undone(first));
    expect(undone(edited(interrupted, 'b', 2, 'keys 1')).present).toBe(1);
  });

  it('forgets what was undone once something new is done', () => {
    const history = edited(undone(edited(historyOf(0), 'a', 1)), 'b', 2);
    expect(redoName(history)).toBeNull();
    expect(redone(history)).toBe(history);
  });

  it('keeps the newest steps only', () => {
    let history = historyOf(0);
    for (let i = 1; i <= HISTORY_DEPTH + 5; i += 1) history = edited(history, `${i}`, i);
    while (undoName(history) !== null) history = undone(history);
    expect(history.present).toBe(5);
  });

  it('behaves as a list with a cursor, whatever is done', () => {
    const move = fc.oneof(
      fc.record({ kind: fc.constant('edit' as const), value: fc.integer() }),
      fc.record({ kind: fc.constantFrom('undo' as const, 'redo' as const) }),
    );
    fc.assert(
      fc.property(fc.array(move, { maxLength: 60 }), (moves) => {
        let history = historyOf(0);
        let list = [0];
        let cursor = 0;
        for (const m of moves) {
          if (m.kind === 'edit') {
            history = edited(history, 'edit', m.value);
            list = [...list.slice(0, cursor + 1), m.value];
            cursor += 1;
          } else if (m.kind === 'undo') {
            history = undone(history);
            cursor = Math.max(0, cursor - 1);
          } else {
            history = redone(history);
            cursor = Math.min(list.length - 1, cursor + 1);
          }
          expect(history.present).toBe(list[cursor]);
        }
      }),
    );
  });
});
