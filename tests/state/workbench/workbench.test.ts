// The workbench with a played search: edits, gestures, what is shown while it searches.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Blend } from '#shared/answers/answer.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed } from '#optimize/worker/protocol.ts';
import { savedDesign, withNewDesign } from '#state/documents/documents.ts';
import { demo, designed, playedWorkbench, wish } from './played-workbench.ts';

const live = (worst_miss: number) => ({ worst_miss, misses: [] }) as unknown as LiveBlend;

type Played = ReturnType<typeof playedWorkbench>;
let workspace: Played['workspace'];
let workbench: Played['workbench'];
let asked: Played['asked'];
let dragged: Played['dragged'];
let readied: Played['readied'];

beforeEach(() => {
  vi.useFakeTimers();
  ({ workspace, workbench, asked, dragged, readied } = playedWorkbench());
});
afterEach(() => vi.useRealTimers());

describe('another design', () => {
  it('is not answered by the blend of the one before', () => {
    const other = savedDesign(wish(2)(demo));
    workspace.edit('new', (d) => withNewDesign(d, other));
    expect(workbench.foreign).toBe(true);
    workbench.heardAnswer(designed(1));
    expect(workbench.foreign).toBe(false);
    workspace.undo();
    expect(workbench.foreign).toBe(true);
  });

  it('of the same brief is answered by the same blend', () => {
    const copy = savedDesign({ ...demo, name: 'A copy' });
    workspace.edit('duplicate', (d) => withNewDesign(d, copy));
    expect([workbench.foreign, workbench.searching, asked.length]).toEqual([false, false, 0]);
  });
});

describe('edits', () => {
  it('become the brief, a step back and a search', () => {
    expect(workbench.edit('floral 2', wish(2))).toBeNull();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workspace.undoName).toBe('floral 2');
    expect(asked.at(-1)).toBe(workbench.brief);
    workspace.undo();
    expect(workbench.brief).toEqual(demo);
    expect(asked.at(-1)).toEqual(demo);
    workspace.redo();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
  });

  it('that make no sound brief change nothing and say why', () => {
    const refusal = workbench.edit('bad', (b) => ({
      ...b,
      batch: { ...b.batch, beer_l: -1 },
    }));
    expect(refusal).toMatch(/\.$/);
    expect(workbench.brief).toBe(demo);
    expect(workspace.undoName).toBeNull();
    expect(asked).toEqual([]);
  });
});

describe('a drag', () => {
  it('shows at once, asks for each move, searches when dropped, and is one step', () => {
    for (let i = 1; i <= 20; i += 1) {
      workbench.preview(wish(i / 10));
      expect(workbench.brief.target.floral).toEqual({ aim: i / 10, within: 0.3 });
      vi.advanceTimersByTime(16);
    }
    expect(dragged.map((b) => b.target.floral?.aim)).toEqual(
      Array.from({ length: 20 }, (_, i) => (i + 1) / 10),
    );
    expect(asked).toEqual([]);
    expect(workspace.undoName).toBeNull();
    workbench.edit('floral 2', wish(2));
    expect(asked.at(-1)).toBe(workbench.brief);
    workspace.undo();
    expect(workbench.brief).toEqual(demo);
    expect(workspace.undoName).toBeNull();
  });

  it('shows the blend for it, until the search after it has answered', () => {
    workbench.preview(wish(2));
    expect(workbench.shown?.worst_miss).toBe(0);
    workbench.heardLive(live(3));
    workbench.heardLive(live(4));
    expect([workbench.shown?.worst_miss, workbench.live?.worst_miss]).toEqual([4, 4]);
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.edit('floral 2', wish(2));
    workbench.heardLive(live(5));
    expect(workbench.shown?.worst_miss).toBe(4);
    workbench.heardAnswer(designed(1));
    expect([workbench.shown?.worst_miss, workbench.live]).toEqual([1, null]);
  });

  it('is got ready for where a hand comes near, and there for each new answer', () => {
    expect(readied).toEqual([]);
    workbench.near(true);
    expect(readied).toEqual([demo]);
    workbench.preview(wish(2));
    workbench.edit('floral 2', wish(2));
    expect(readied).toHaveLength(1);
    workbench.heardAnswer(designed(1));
    expect(readied.slice(1)).toEqual([workbench.brief]);
    workbench.near(false);
    workbench.edit('floral 1', wish(1));
    workbench.heardAnswer(designed(1));
    expect(readied).toHaveLength(2);
  });

  it('is got ready for slowly beside a dose that is moved, and at once when that is let go', () => {
    const slowly: boolean[] = [];
    workbench.useSearcher({
      design: () => {},
      live: () => {},
      ready: (_brief, _hops, isSlow) => slowly.push(isSlow),
      teach: () => {},
      stop: () => {},
    });
    workbench.getReady();
    workbench.readyDose(0, 100, 1);
    workbench.dose.move(0, 50);
    workbench.getReady();
    workbench.dose.leave();
    expect(slowly).toEqual([false, true, false]);
  });

  it('gives up a search at work, and its blend is gone after a cancel or another edit', () => {
    workbench.edit('floral 1', wish(1));
    workbench.preview(wish(2));
    expect(workbench.searching).toBe(false);
    workbench.heardLive(live(3));
    workbench.cancelPreview();
    expect([workbench.live, workbench.searching]).toEqual([null, true]);
    workbench.preview(wish(2));
    workbench.heardLive(live(3));
    workbench.edit('floral 2', wish(2));
    workspace.undo();
    expect(workbench.live).toBeNull();
  });

  it('leaves nothing behind when it is cancelled', () => {
    workbench.preview(wish(2));
    workbench.cancelPreview();
    expect(workbench.brief).toEqual(demo);
    vi.advanceTimersByTime(1000);
    expect(asked.at(-1)).toEqual(demo);
  });
});

describe('a search', () => {
  it('keeps the last blend, and what it answered, until there is another', () => {
    workbench.edit('floral 2', wish(2));
    expect(workbench.searching).toBe(true);
    expect(workbench.answeredBrief).toBe(demo);
    workbench.heardAnswer(designed(0.5));
    expect(workbench.searching).toBe(false);
    expect(workbench.blend?.worst_miss).toBe(0.5);
    expect(workbench.answeredBrief).toBe(workbench.brief);
  });

  it('keeps the last blend when the brief is refused or the search breaks', () => {
    workbench.edit('floral 2', wish(2));
    workbench.heardRefusal([{ path: '', message: 'm', cure: 'c' }]);
    expect(workbench.trouble?.kind).toBe('refused');
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.retry();
    workbench.heardFailure('gone');
    expect(workbench.trouble).toEqual({ kind: 'failed', reason: 'gone' });
    workbench.retry();
    workbench.heardAnswer(designed(1));
    expect(workbench.trouble).toBeNull();
  });
});

describe('a stop', () => {
  const closest = (additions: Blend['additions']): Designed => {
    const { answer } = designed(2);
    const blend = { ...answer.blends[0]!, additions };
    return { answer: { ...answer, status: 'closest', blends: [blend] }, evidence: [] };
  };

  it('takes the best blend so far', () => {
    workbench.edit('floral 2', wish(2));
    workbench.stop();
    const addition = { hop: 'Citra', form: 'cone', stage: 'mash', grams: 5 } as const;
    workbench.heardAnswer(closest([addition]));
    expect(workbench.trouble).toBeNull();
    expect(workbench.blend?.worst_miss).toBe(2);
  });

  it('before any blend was found leaves the last one and says so, until asked again', () => {
    workbench.edit('floral 2', wish(2));
    workbench.stop();
    workbench.heardAnswer(closest([]));
    expect(workbench.trouble).toEqual({ kind: 'stopped' });
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.retry();
    workbench.heardAnswer(closest([]));
    expect(workbench.trouble).toBeNull();
    expect(workbench.blend?.additions).toEqual([]);
  });
});
