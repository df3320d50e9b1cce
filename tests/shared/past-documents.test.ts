// Documents of every earlier version open as they did: one file each, kept as it was written then. The
// stages in them are named by their kinds alone.
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { readBrief, readSave } from '#shared/reading/read.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import { designFor, designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { sharedDesign } from '#storage/share-link.ts';

const past = (file: string) => readFileSync(new URL(`./past/${file}`, import.meta.url), 'utf8');

/** Every stage under the name of its kind, as it was written, in the order of the process. */
function expectNamedByKind(stages: Stages, written: object): void {
  expect(stages).toMatchObject(written);
  for (const { key, kind } of stagesOf(stages)) {
    expect(key).toBe(kind);
    expect(stages[key]).not.toHaveProperty('kind');
  }
  expect(stagesOf(stages)).toHaveLength(Object.keys(written).length);
}

it.each([
  // Before kept additions, shares, thresholds and packages.
  'brief-1.json',
  // With them, aged lots, a steep that cools, limits on stages; before the boil.
  'brief-2.json',
  // With the boil as a kind of stage; a limit on a stage that is not used.
  'brief-3.json',
])('%s opens, and can be searched', (file) => {
  const text = past(file);
  const read = readBrief(text);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const written = JSON.parse(text) as { stages: object };
  expect(read.value).toMatchObject(written);
  expectNamedByKind(read.value.stages, written.stages);
  expect(problemOf(model, read.value).ok).toBe(true);
});

it('schedule-1.json to save on opens, and can be predicted', () => {
  const text = past('schedule-1.json');
  const read = readSave(text);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  expect(read.value).toMatchObject(JSON.parse(text) as object);
  expect(designOf(model, read.value).ok).toBe(true);
});

it('workspace-1.json opens: designs, a blend, a blend by hand, lots', () => {
  const text = past('workspace-1.json');
  const read = readWorkspace(text);
  if (!read.ok || 'kind' in read.value) throw new Error('no workspace');
  const { problems, designs, lots, batches, open } = read.value;
  expect(problems).toEqual([]);
  const written = JSON.parse(text) as { designs: object[]; lots: object[]; open: string };
  // From before there were any.
  expect(batches).toEqual([]);
  expect({ designs, lots, open }).toEqual({
    designs: written.designs,
    lots: written.lots,
    open: written.open,
  });
});

it('workspace-2.json opens: batches with a plan, a brew, what was measured and drawn', () => {
  const text = past('workspace-2.json');
  const read = readWorkspace(text);
  if (!read.ok || 'kind' in read.value) throw new Error('no workspace');
  const { problems, batches, season } = read.value;
  expect(problems).toEqual([]);
  // From before there was any.
  expect(season).toBeNull();
  const written = JSON.parse(text) as { batches: object[] };
  expect(batches).toEqual(written.batches);
  for (const { planned, brewed } of batches) {
    expect(designOf(model, planned).ok).toBe(true);
    expect(designOf(model, brewed).ok).toBe(true);
  }
});

it('workspace-3.json opens: what is to be brewed next', () => {
  const text = past('workspace-3.json');
  const read = readWorkspace(text);
  if (!read.ok || 'kind' in read.value) throw new Error('no workspace');
  const { problems, season, designs } = read.value;
  expect(problems).toEqual([]);
  expect(season).toEqual((JSON.parse(text) as { season: object }).season);
  expect(season?.brews.map(({ design }) => design)).toEqual(designs.map(({ id }) => id));
});

it('link-1.txt opens', async () => {
  const read = await sharedDesign(past('link-1.txt').trim());
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const { brief, own } = read.value;
  expectNamedByKind(brief.stages, { boil: { minutes: 60 }, dry_hop: { temp_c: 12 } });
  expect(own?.map((a) => a.stage)).toEqual(['dry_hop', 'mash']);
  // Its mash hop stands in a brief without a mash, as it could then: it is told, not lost.
  const design = designFor(model, brief, own ?? []);
  expect(!design.ok && design.problems[0]?.path).toBe('additions[1].stage');
});
