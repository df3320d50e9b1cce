// A blend made by hand on the workbench: predicted with its locks, shown until it is given up, the rest designed anew.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { QuestionListener } from '#optimize/worker/asking.ts';
import type { Topic } from '#optimize/worker/protocol.ts';
import { designed, playedWorkbench } from './played-workbench.ts';

type Played = ReturnType<typeof playedWorkbench>;
let workspace: Played['workspace'];
let workbench: Played['workbench'];
let asked: Played['asked'];

beforeEach(() => {
  vi.useFakeTimers();
  ({ workspace, workbench, asked } = playedWorkbench());
});
afterEach(() => vi.useRealTimers());

describe('a blend made by hand', () => {
  const row = {
    hop: 'Citra',
    form: 'pellet_90',
    stage: 'dry_hop',
    grams: 50,
    locked: true,
  } as const;
  const found = (misses: number) => ({ worst_miss: misses, additions: [], misses: [] });
  let questions: { topic: string; question: unknown; listener: QuestionListener<Topic> }[];

  beforeEach(() => {
    questions = [];
    workbench.inquiries.use({
      ask: (topic, question, listener) =>
        questions.push({ topic, question, listener: listener as QuestionListener<Topic> }),
      stop: () => {},
      forget: () => {},
      teach: () => {},
    });
  });
  const predicted = () => questions.filter((q) => q.topic === 'predict');

  it('is predicted with its locks as kept, and shown whatever the search finds', () => {
    expect(workbench.editOwn('add Citra', () => [row])).toBeNull();
    expect(workbench.byHand).toBe(true);
    const { locked: _, ...addition } = row;
    expect(predicted()[0]!.question).toMatchObject({
      brief: { keep: [addition] },
      additions: [addition],
    });
    predicted()[0]!.listener.step(found(2) as never);
    expect(workbench.shown?.worst_miss).toBe(2);
    predicted()[0]!.listener.found({ ...found(3), evidence: {} } as never);
    expect(workbench.blend?.worst_miss).toBe(3);
    workbench.heardAnswer(designed(9));
    expect(workbench.shown?.worst_miss).toBe(3);
    expect(asked).toEqual([]);
    workbench.back();
    expect(workbench.shown?.worst_miss).toBe(9);
    expect(workspace.undoName).toBe('back to the proven blend');
    workspace.undo();
    expect(workbench.rows).toEqual([row]);
  });

  it('takes the rest from the design around its locks, as one step', () => {
    workbench.editOwn('add Citra', () => [row, { ...row, hop: 'Saaz', locked: false }]);
    workbench.replan();
    const { listener } = questions.find((q) => q.topic === 'replan')!;
    const { locked: _, ...addition } = row;
    const other = { ...addition, hop: 'Cascade', grams: 20 };
    const blends = [{ additions: [other, addition] }];
    listener.found({
      answer: { ...designed(0).answer, blends },
      evidence: [],
      unnoticed: true,
    } as never);
    expect(workbench.rows).toEqual([{ ...other, locked: false }, row]);
    expect(workbench.own.replanned?.changes.map((c) => [c.hop, c.from, c.to])).toEqual([
      ['Saaz', 50, 0],
      ['Cascade', 0, 20],
    ]);
    workspace.undo();
    expect(workbench.rows.map((a) => a.hop)).toEqual(['Citra', 'Saaz']);
    expect(workbench.own.replanned).toBeNull();
  });

  it('gives up a design of the rest that an edit overtakes', () => {
    workbench.editOwn('add Citra', () => [row]);
    workbench.replan();
    expect(workbench.inquiries.replan.working).toBe(true);
    workbench.editOwn('more Citra', () => [{ ...row, grams: 60 }]);
    expect(workbench.inquiries.replan.working).toBe(false);
  });
});
