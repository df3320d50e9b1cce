// Every number of every JSON answer has exactly one pattern in the answer's provenance, and every id
// there resolves; the verb source tells what it stands for.
import { readFileSync, readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import { numberPaths, patternsOf, PROVENANCE, type Provenance } from '#shared/provenance.ts';
import { resolveProvenance } from '#engine/provenance.ts';
import { designText } from '../../src/cli/design.ts';
import { predictText, type Answered } from '../../src/cli/predict.ts';
import { saveText } from '../../src/cli/save.ts';
import { sourceText } from '../../src/cli/source.ts';
import { swapText } from '../../src/cli/swap.ts';
import { tradeoffText } from '../../src/cli/tradeoff.ts';
import type { Outcome } from '#shared/outcome.ts';
import { ROOT } from './run.ts';

const read = (path: string) => readFileSync(`${ROOT}seeds/${path}`, 'utf8');
const tell = () => {};
const BRIEFS = readdirSync(`${ROOT}seeds/briefs`).filter((file) => file.endsWith('.json'));

/** Walks the answer as it is printed. */
function holds(answer: Outcome<Answered>): void {
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const document = JSON.parse(JSON.stringify(answer.value.json)) as { provenance: Provenance };
  const { provenance, ...rest } = document;
  const paths = numberPaths(rest);
  expect(paths.length).toBeGreaterThan(50);
  const wrong = paths.filter((path) => patternsOf(provenance, path).length !== 1);
  expect(
    wrong.map((path) => `${path.join('.')}: ${patternsOf(provenance, path).join(' ')}`),
  ).toEqual([]);
  for (const ids of Object.values(provenance)) expect(ids.length).toBeGreaterThan(0);
}

test.each(BRIEFS)('a design of %s, with reasons', { timeout: 120_000 }, (file) => {
  const explain = { whyNot: ['Saaz'] };
  holds(designText(read(`briefs/${file}`), { options: { explain, timeLimitMs: 4000 }, tell }));
});

test('a curve', { timeout: 120_000 }, () => {
  const options = { timeLimitMs: 4000 };
  holds(tradeoffText(read('briefs/near-empty-freezer.json'), 'closeness', { options, tell }));
});

test('a swap, a saving and the prediction of both schedules', { timeout: 120_000 }, () => {
  const options = { timeLimitMs: 4000 };
  holds(swapText(read('schedules/out-of-stock.json'), { options, tell }));
  holds(saveText(read('schedules/cheaper.json'), { options, tell }));
  for (const file of ['out-of-stock', 'cheaper']) {
    const { name, batch, stages, additions } = JSON.parse(read(`schedules/${file}.json`));
    const schedule = { name, batch: { ...batch, co2_vol: 2.4 }, stages, additions };
    holds(predictText(JSON.stringify(schedule), true));
  }
});

test('every id of every table resolves; one that does not is refused with a cure', () => {
  const ids = Object.values(PROVENANCE).flatMap((table) => Object.values(table).flat());
  expect(ids.filter((id) => !resolveProvenance(id).ok)).toEqual([]);
  for (const id of ['equation/none', 'parameter/toString', 'search/none', 'cell/citra/none', 'x']) {
    expect(resolveProvenance(id).ok, id).toBe(false);
  }
});

test('the verb source tells value, range, status, sources and formula', () => {
  const json = (id: string) => {
    const found = sourceText(id);
    return found.ok ? found.value : null;
  };
  expect(json('parameter/dry_hop.yield.linalool')!.json).toMatchObject({
    low: 0.55,
    default: 0.8,
    high: 1,
    unit: 'fraction',
    sources: ['GAHR19', 'CALC'],
  });
  expect(json('equation/dry_hop_yield')!.text).toContain('exp(');
  expect(json('threshold/linalool/us')!.json).toMatchObject({ default: 83, status: 'seen' });
  expect(json('cell/citra/alpha_pct')!.text).toMatch(/alpha_pct of Citra/);
  expect(json('source/GAHR19')!.text).toContain('Read:');
});
