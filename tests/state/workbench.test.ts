// The workbench with a played search and store: edits, gestures, what is shown while it searches.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Blend } from '#shared/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Designed } from '#optimize/protocol.ts';
import { Workbench } from '#state/workbench.svelte.ts';

const demo: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const designed = (worst_miss: number): Designed => ({
  answer: {
    status: 'optimal',
    lower_bound: 0,
    gap: 0,
    milliseconds: 1,
    blends: [{ worst_miss } as Blend],
    why: { left_out: [], notes: [] },
  },
  evidence: [],
});
const wish = (aim: number) => (brief: Brief) => ({
  ...brief,
  target: { ...brief.target, floral: { aim, within: 0.3 } },
});

let asked: Brief[];
let kept: Brief[];
let workbench: Workbench;

beforeEach(() => {
  vi.useFakeTimers();
  asked = [];
  kept = [];
  workbench = new Workbench(demo, designed(0));
  workbench.useSearcher({ design: (brief) => asked.push(brief), stop: () => {} });
  workbench.useKeeper(async (brief) => {
    kept.push(brief);
    return null;
  });
});
afterEach(() => vi.useRealTimers());

describe('edits', () => {
  it('become the brief, a step back and a search', () => {
    expect(workbench.edit('floral 2', wish(2))).toBeNull();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workbench.undoName).toBe('floral 2');
    expect(asked.at(-1)).toBe(workbench.brief);
    workbench.undo();
    expect(workbench.brief).toEqual(demo);
    expect(asked.at(-1)).toEqual(demo);
    workbench.redo();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
  });

  it('that make no sound brief change nothing and say why', () => {
    const refusal = workbench.edit('bad', (b) => ({
      ...b,
      batch: { ...b.batch, beer_l: -1 },
    }));
    expect(refusal).toMatch(/\.$/);
    expect(workbench.brief).toBe(demo);
    expect(workbench.undoName).toBeNull();
    expect(asked).toEqual([]);
  });
});

describe('a drag', () => {
  it('shows at once, searches now and then, and is one step when dropped', () => {
    for (let i = 1; i <= 20; i += 1) {
      workbench.preview(wish(i / 10));
      expect(workbench.brief.target.floral).toEqual({ aim: i / 10, within: 0.3 });
      vi.advanceTimersByTime(16);
    }
    expect(asked.length).toBeGreaterThanOrEqual(1);
    expect(asked.length).toBeLessThanOrEqual(3);
    expect(workbench.undoName).toBeNull();
    workbench.edit('floral 2', wish(2));
    expect(asked.at(-1)).toBe(workbench.brief);
    workbench.undo();
    expect(workbench.brief).toEqual(demo);
    expect(workbench.undoName).toBeNull();
  });

  it('leaves nothing behind when it is cancelled', () => {
    workbench.preview(wish(2));
    workbench.cancelPreview();
    expect(workbench.brief).toEqual(demo);
    vi.advanceTimersByTime(1000);
    expect(asked.at(-1)).toEqual(demo);
    expect(kept).toEqual([]);
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

describe('keeping', () => {
  it('writes once after a run of edits and says so', async () => {
    workbench.edit('floral 2', wish(2));
    workbench.edit('floral 3', wish(3));
    expect(workbench.saving.state).toBe('saving');
    await vi.runAllTimersAsync();
    expect(kept).toEqual([workbench.brief]);
    expect(workbench.saving.state).toBe('saved');
  });

  it('says why it could not be kept', async () => {
    workbench.useKeeper(async () => 'no room');
    workbench.edit('floral 2', wish(2));
    await vi.runAllTimersAsync();
    expect(workbench.saving).toEqual({ state: 'not_saved', reason: 'no room' });
  });

  it('writes at once when the page is left', async () => {
    workbench.edit('floral 2', wish(2));
    workbench.flush();
    expect(kept).toHaveLength(1);
    await vi.runAllTimersAsync();
    expect(kept).toHaveLength(1);
  });

  it('does not lose an edit made before there was anywhere to keep it', async () => {
    const early = new Workbench(demo, designed(0));
    expect(early.touched).toBe(false);
    early.edit('floral 2', wish(2));
    expect(early.touched).toBe(true);
    await vi.runAllTimersAsync();
    early.useKeeper(async (brief) => {
      kept.push(brief);
      return null;
    });
    expect(kept).toEqual([early.brief]);
  });

  it('takes up a kept brief without a step back and searches', () => {
    const own = { ...demo, name: 'Own' };
    workbench.restore(own);
    expect(workbench.brief).toBe(own);
    expect(workbench.undoName).toBeNull();
    expect(asked).toEqual([own]);
  });
});
