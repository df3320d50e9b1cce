// Workspace files as people bring them: whole, in part, of another kind. What is sound is taken; what
// is not is named with its place.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedBatchSchema } from '#shared/schemas/batch.ts';
import { readWorkspace, type WorkspaceReading } from '#shared/reading/read-workspace.ts';
import { NO_SINGLES } from '#shared/schemas/workspace.ts';
import { workspaceSchema } from '#shared/schemas/workspace-file.ts';

const [first, second] = SEED_BRIEFS.map(({ id, brief }) => ({
  id,
  brief,
  blend: [{ hop: 'Citra', form: 'cone', stage: 'mash', grams: 5 }],
  saved_at: '2026-03-31T10:00:00.000Z',
  note: '',
}));
const lot = {
  id: 'lot-1',
  hop: 'Citra',
  form: 'pellet_90',
  grams_on_hand: 300,
  opened_on: '2026-03-01',
  storage_temp_c: -18,
  pack: 'vacuum',
  storage_index: 0.31,
  note: '',
  out_of_stock: false,
};
const document = {
  format: 'blendbine-workspace',
  version: 1,
  designs: [first, second],
  lots: [lot],
  batches: [],
  open: second!.id,
};

function reading(value: unknown): WorkspaceReading {
  const outcome = readWorkspace(JSON.stringify(value));
  if (!outcome.ok) throw new Error(outcome.problems.map((p) => p.message).join('; '));
  if ('kind' in outcome.value) throw new Error('it stands alone');
  return outcome.value;
}
const refusal = (value: unknown) => {
  const outcome = readWorkspace(typeof value === 'string' ? value : JSON.stringify(value));
  return outcome.ok ? [] : outcome.problems.map((p) => `${p.path}: ${p.message}`);
};

it('takes a whole file as it is', () => {
  expect(workspaceSchema.parse(document)).toEqual(document);
  expect(reading(document)).toEqual({
    designs: [first, second],
    lots: [lot],
    batches: [],
    ...NO_SINGLES,
    open: second!.id,
    problems: [],
  });
});

describe('batches', () => {
  const [{ name, batch: beer, stages }] = [first!.brief];
  const schedule = { name, batch: beer, stages, additions: first!.blend };
  const batch = savedBatchSchema.parse({
    id: 'brew-1',
    name: 'First',
    design: first!.id,
    brewed_on: '2026-04-03',
    planned: schedule,
    brewed: { ...schedule, stages: { ...stages, mash: { ...stages.mash!, temp_c: 68 } } },
    measured: { original_gravity_sg: 1.056, final_gravity_sg: 1.012, packaged_l: 18.4, ph: 4.5 },
    lab: [{ compound: 'linalool', ug_per_l: 80, sd_ug_per_l: 12 }],
    tastings: [{ taster: 'AB', order: 1, scores: { citrus: 3.5 } }],
  });

  it('come back as they were kept, missing parts empty', () => {
    expect(reading({ ...document, batches: [batch] }).batches).toEqual([batch]);
    expect(batch).toMatchObject({ drawn: [], done: [], photos: [], note: '' });
    const { batches: _, ...before } = document;
    expect(reading(before).batches).toEqual([]);
  });

  it('are refused with place and cure where they cannot be', () => {
    const ill = { ...batch, measured: { original_gravity_sg: 1.01, final_gravity_sg: 1.05 } };
    const { batches, problems } = reading({
      ...document,
      batches: [
        ill,
        { ...batch, id: 'two', tastings: [{ taster: 'AB', order: 1, scores: { citrus: 8 } }] },
      ],
    });
    expect(batches).toEqual([]);
    expect(problems.map(({ path }) => path)).toEqual([
      'batches[0].measured',
      'batches[1].tastings[0].scores.citrus',
    ]);
    for (const { cure } of problems) expect(cure).not.toBe('');
  });
});

describe('row by row', () => {
  it('names what cannot be read and takes the rest', () => {
    const ill = { ...first, id: 'ill', brief: { ...first!.brief, batch: { beer_l: -1 } } };
    const wet = { ...lot, id: 'lot-2', opened_on: 'last week', storage_index: 9 };
    const { designs, lots, problems } = reading({
      ...document,
      designs: [first, ill],
      lots: [wet, lot],
    });
    expect(designs).toEqual([first]);
    expect(lots).toEqual([lot]);
    const sentences = problems.map((p) => `${p.path}: ${p.message}. ${p.cure}`).join('\n');
    expect(sentences).toContain('designs[1].brief.batch.beer_l: -1');
    expect(sentences).toContain(
      'lots[0].opened_on: "last week" is not in the right format. Give the day the pack was opened',
    );
    expect(sentences).toContain('lots[0].storage_index: 9 is above 3');
  });

  it('takes an id once', () => {
    const { designs, problems } = reading({ ...document, designs: [first, first] });
    expect(designs).toHaveLength(1);
    expect(problems.map((p) => p.path)).toEqual(['designs[1].id']);
  });

  it('leaves unknown fields and a broken usual schedule out, and says so', () => {
    const { usual, problems } = reading({ ...document, usual: { additions: 3 }, extra: 1 });
    expect(usual).toBeNull();
    expect(problems.map((p) => p.path)).toContain('extra');
    expect(problems.map((p) => p.path)).toContain('usual.additions');
  });
});

describe('alone', () => {
  it('a brief and a schedule are taken for what they are', () => {
    const brief = readWorkspace(JSON.stringify(first!.brief));
    expect(brief).toEqual({ ok: true, value: { kind: 'brief', brief: first!.brief } });
    const { name, batch, stages } = first!.brief;
    const schedule = { name, batch, stages, additions: [] };
    const read = readWorkspace(JSON.stringify(schedule));
    expect(read).toEqual({ ok: true, value: { kind: 'schedule', schedule } });
  });
});

describe('refuses', () => {
  it.each<[string, unknown, RegExp]>([
    ['a newer version', { ...document, version: 2 }, /^version: .*newer/],
    ['no version', { ...document, version: undefined }, /^version: .*missing/],
    ['another kind', { ...document, format: 'recipe' }, /^format: .*another kind/],
    ['a list', [1], /no workspace file/],
    ['what is no JSON', '{"format": ', /breaks off/],
  ])('%s', (_, value, reason) => {
    expect(refusal(value)[0]).toMatch(reason);
  });
});
