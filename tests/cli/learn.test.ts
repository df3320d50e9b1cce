// The verb learn in a process of its own: the example as text and as JSON, a workspace file, bad input.
import { readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { numberPaths, patternsOf } from '#shared/evidence/provenance.ts';
import { AXES } from '#shared/ids.ts';
import { scheduleSchema } from '#shared/schemas/brief.ts';
import { learnedSchema } from '#shared/schemas/learned.ts';
import { learnedModel } from '#engine/doubt/learned.ts';
import { designOf } from '#engine/predict/design.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model } from '#engine/tables/model.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { cli, fileWith, ROOT } from './run.ts';

const EXAMPLE = `${ROOT}seeds/tastings/three-pales.json`;
const document = () => JSON.parse(readFileSync(EXAMPLE, 'utf8'));

describe('learn', () => {
  it('says as text what tastings change', async () => {
    const { code, out, err } = await cli(['learn', EXAMPLE]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/^Learned from 3 batches\n/);
    expect(out).toContain('AB scores');
    expect(out).toMatch(/What moved +published/);
    expect(out).toContain('What would teach most next');
    expect(out).not.toContain('DISAGREE');
  });

  it('gives JSON: a learning its schema takes, every number with its provenance', async () => {
    const { code, out } = await cli(['learn', EXAMPLE, '--json']);
    expect(code).toBe(0);
    const { provenance, ...answer } = JSON.parse(out);
    expect(learnedSchema.safeParse(answer.learned).success).toBe(true);
    expect(answer.error.after).toBeLessThan(answer.error.before);
    const wrong = numberPaths(answer).filter((path) => patternsOf(provenance, path).length !== 1);
    expect(wrong).toEqual([]);
    for (const { id } of answer.moved) expect(resolveProvenance(id).ok, id).toBe(true);
  });

  it('is used by the verbs that predict and design', async () => {
    const learnt = (await cli(['learn', EXAMPLE, '--json'])).out;
    const file = fileWith(learnt, 'learned.json');
    const { name, brewed } = document().batches[0];
    const schedule = JSON.stringify({ name, ...brewed });
    const answered = async (args: readonly string[]) =>
      JSON.parse((await cli(['predict', '-', '--json', ...args], schedule)).out);
    const [before, after] = [await answered([]), await answered(['--learned', file])];
    const { learned } = JSON.parse(learnt);
    const read = designOf(learnedModel(model, learned), scheduleSchema.parse({ name, ...brewed }));
    if (!read.ok) throw new Error('the brew cannot be predicted');
    const point = predictPoint(learnedModel(model, learned), read.value);
    AXES.forEach((axis, i) => {
      expect(after.axes[axis].intensity).toBeCloseTo(point.intensities[i]!, 12);
    });
    expect(after.axes).not.toEqual(before.axes);
    writeFileSync(file, JSON.stringify({ ...learned, version: 'two' }));
    const refused = await cli(['predict', '-', '--learned', file], schedule);
    expect([refused.code, refused.out]).toEqual([2, '']);
    expect(refused.err).toMatch(/learned\.json, version/);
    writeFileSync(file, '{}');
    expect((await cli(['learn', EXAMPLE, '--learned', file])).err).toMatch(/learn does not take/);
  });

  it('says where scores lie beyond what the model can say', async () => {
    const far = document();
    for (const batch of far.batches) {
      batch.tastings = ['A', 'B', 'C', 'D'].map((taster) => ({
        taster,
        scores: { berry: 7, citrus: 2, tropical: 2, resin: 2, floral: 2 },
      }));
    }
    const { out } = await cli(['learn', '-'], JSON.stringify(far));
    expect(out).toMatch(/EVIDENCE AND MODEL DISAGREE[^]*Berry[^]*above what the model/);
  });

  it.each<[string, (d: ReturnType<typeof document>) => void, RegExp]>([
    [
      'a score off the scale',
      (d) => (d.batches[0].tastings[0].scores.citrus = 9),
      /batches\[0\]\.tastings\[0\]\.scores\.citrus.*7/,
    ],
    [
      'a hop nobody knows',
      (d) => (d.batches[1].brewed.additions[0].hop = 'Mosaik'),
      /batches\[1\]\.brewed\.additions\[0\]\.hop.*Write Mosaic/,
    ],
    ['two batches of one id', (d) => (d.batches[1].id = 'pale-1'), /batches\[1\]\.id.*given twice/],
    [
      'batches nobody tasted',
      (d) =>
        d.batches.forEach((b: object) => Object.assign(b, { tastings: [], lab: [], measured: {} })),
      /batches: no batch was tasted.*Give a batch tastings/,
    ],
    ['no batches', (d) => delete d.batches, /batches.*missing/],
  ])('refuses %s, with its place and its cure', async (_, change, refusal) => {
    const bad = document();
    change(bad);
    const { code, out, err } = await cli(['learn', '-'], JSON.stringify(bad));
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(refusal);
  });
});
