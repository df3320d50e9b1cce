// What changes the model or the hops of every search: lessons of tastings, own tables, a hop that is out of stock.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Learned } from '#shared/schemas/learned.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import {
  savedDesign,
  withNewDesign,
  withOwnTables,
  withSingle,
} from '#state/documents/documents.ts';
import { withHopBack, withoutHop } from '#state/stock/out-of-stock.ts';
import { demo, playedWorkbench, wish } from './played-workbench.ts';

type Played = ReturnType<typeof playedWorkbench>;
let workspace: Played['workspace'];
let workbench: Played['workbench'];
let asked: Played['asked'];
let dragged: Played['dragged'];
let taught: Played['taught'];

beforeEach(() => {
  vi.useFakeTimers();
  ({ workspace, workbench, asked, dragged, taught } = playedWorkbench());
});
afterEach(() => vi.useRealTimers());

describe('what tastings taught', () => {
  const learned: Learned = {
    version: 1,
    made: '2026-01-01T00:00:00Z',
    from: ['a'],
    parameters: {
      'parameter/aroma.gain.citrus': { factor: 1.2, sd_log: 0.2, score: 0.5, joint: [0.4] },
    },
    tasters: {},
  };

  it('goes to the search, which asks again; switched off or taken back it goes as well', () => {
    expect(taught).toEqual([null]);
    workspace.edit('learn', (d) => withSingle(d, 'learning', { in_use: true, learned }));
    expect(taught.slice(1)).toEqual([learned]);
    expect([workbench.searching, asked.length]).toEqual([true, 1]);
    workspace.edit('off', (d) => withSingle(d, 'learning', { in_use: false, learned }));
    expect([taught.at(-1), asked.length]).toEqual([null, 2]);
    workspace.undo();
    expect([taught.at(-1), asked.length]).toEqual([learned, 3]);
    workspace.undo();
    expect([taught.at(-1), workspace.document.learning]).toEqual([null, undefined]);
    workspace.redo();
    expect(workspace.edit('take back', (d) => withSingle(d, 'learning', null))).toBeNull();
    expect([taught.at(-1), workspace.document.learning]).toEqual([null, undefined]);
  });

  it('that the schema refuses changes nothing', () => {
    const bad = { ...learned, version: 0 };
    const refusal = workspace.edit('learn', (d) =>
      withSingle(d, 'learning', { in_use: true, learned: bad }),
    );
    expect(refusal).toMatch(/.+/);
    expect(workspace.learned).toBeNull();
  });
});

describe('tables of one’s own', () => {
  it('make the search ask again, undone as well, and prices of theirs hold', () => {
    const own: OwnTables = {
      prices: [{ hop: 'Citra', form: 'cone', price_per_kg: '40' }],
    };
    expect(workspace.edit('own', (d) => withOwnTables(d, own))).toBeNull();
    expect([asked.length, workspace.knowledge.own]).toEqual([1, own]);
    expect(workspace.prices.get('citra|cone')).toBe(40);
    workspace.editBrief('name', (brief) => ({ ...brief, name: 'another' }));
    expect(taught).toHaveLength(2);
    workspace.undo();
    workspace.undo();
    expect([asked.length, workspace.knowledge.own]).toEqual([2, null]);
    const bad = { prices: [{ hop: 1 }] } as never;
    expect(workspace.edit('own', (d) => withOwnTables(d, bad))).toMatch(/own_tables|prices|text/);
  });
});

describe('a hop that is out of stock', () => {
  const citra = (document: WorkspaceDocument) => withoutHop(document, 'Citra');

  beforeEach(() => {
    ({ workspace, workbench, asked, dragged } = playedWorkbench(['Citra', 'Saaz']));
  });

  it('leaves the blend in sight, and is in no search from then on, of whatever design', () => {
    workspace.edit('gone', citra);
    expect([workbench.searching, asked.length]).toEqual([false, 0]);
    workbench.edit('floral 2', wish(2));
    workspace.edit('new', (d) => withNewDesign(d, savedDesign(wish(3)(demo))));
    expect(asked.map((brief) => brief.limits.ban)).toEqual([['Citra'], ['Citra']]);
    expect(workspace.open.brief.limits.ban).toEqual([]);
    workbench.preview(wish(1));
    expect(dragged.at(-1)!.limits.ban).toEqual(['Citra']);
  });

  it('is searched with again once it is back', () => {
    workspace.edit('gone', citra);
    workbench.edit('floral 2', wish(2));
    workspace.edit('back', (document) => withHopBack(document, 'Citra'));
    expect(asked.map((brief) => brief.limits.ban)).toEqual([['Citra'], []]);
  });
});
