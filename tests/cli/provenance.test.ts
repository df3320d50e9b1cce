// Every number of every JSON answer has one pattern of equations in the answer's provenance and, where
// hops bring it, the cells behind it; every id resolves; the verb source tells what it stands for. Every blend
// says in what share of lots it holds.
import type { TradeoffAnswer } from '#shared/answers/comparison.ts';
import { readFileSync, readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import {
  numberPaths,
  patternsOf,
  PROVENANCE,
  type AnswerKind,
  type Provenance,
} from '#shared/evidence/provenance.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { designText } from '../../src/cli/design.ts';
import { model } from '#engine/tables/model.ts';
import { predictText, type Answered } from '../../src/cli/predict.ts';
import { saveText } from '../../src/cli/save.ts';
import { sourceText } from '../../src/cli/source.ts';
import { swapText } from '../../src/cli/swap.ts';
import { tradeoffText } from '../../src/cli/tradeoff.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { countedTime } from '../optimize/support/counted-time.ts';
import { ROOT, SCHEDULE } from './run.ts';

const read = (path: string) => readFileSync(`${ROOT}seeds/${path}`, 'utf8');
const tell = () => {};
const BRIEFS = readdirSync(`${ROOT}seeds/briefs`).filter((file) => file.endsWith('.json'));

/** Few lots, so that what is compared is found at once: the ids behind a figure do not depend on how many. */
const LOTS: readonly Candidate[] = ['Amarillo', 'Cascade', 'Centennial', 'Galaxy', 'Simcoe'].map(
  (hop) => ({ hop, form: 'pellet_90', price_per_kg: 30 }),
);

interface Read {
  readonly provenance: Provenance;
  readonly cells: readonly { id: string; status: string; sources: string[] }[];
}

/** Walks the answer as it is printed. */
function holds(kind: AnswerKind, answer: Outcome<Answered>): Read {
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const document = JSON.parse(JSON.stringify(answer.value.json)) as Read;
  const { provenance, ...rest } = document;
  const paths = numberPaths(rest);
  expect(paths.length).toBeGreaterThan(50);
  // One pattern of the table says which equation; the others say which cells.
  const wrong = paths.filter((path) => {
    const patterns = patternsOf(provenance, path);
    return patterns.filter((pattern) => pattern in PROVENANCE[kind]).length !== 1;
  });
  expect(
    wrong.map((path) => `${path.join('.')}: ${patternsOf(provenance, path).join(' ')}`),
  ).toEqual([]);
  const ids = new Set(Object.values(provenance).flat());
  for (const { id, status, sources } of document.cells) {
    expect(ids.has(id), id).toBe(true);
    expect(status, id).not.toBe('');
    expect(sources.length, id).toBeGreaterThan(0);
    ids.add(id);
  }
  expect([...ids].filter((id) => !resolveProvenance(id).ok)).toEqual([]);
  // Nothing of a compound or an axis without the cells that bring it.
  const bare = paths.filter((path) => {
    const at = path.findIndex((part) => part === 'compounds' || part === 'axes');
    const value = path.reduce<unknown>((of, part) => (of as Record<string, unknown>)[part], rest);
    if (at < 0 || value === 0 || path[at + 1] === 'grassy') return false;
    const behind = patternsOf(provenance, path).flatMap((pattern) => provenance[pattern]!);
    const rows = /^(cell|input\/analysis|estimator|threshold)\//;
    return !behind.some((id) => rows.test(id)) && !MALT.includes(path[at + 1]!);
  });
  expect(bare.map((path) => path.join('.'))).toEqual([]);
  // Every blend says in what share of lots it holds.
  const all = new Set(paths.map((path) => path.join('.')));
  const blends = [...all].filter((path) => /(^|\.)worst_miss$/.test(path));
  const chances = blends.map((path) => path.replace(/worst_miss$/, 'holds_in_lots'));
  expect(chances.filter((path) => !all.has(path))).toEqual([]);
  expect(blends.length > 0 || kind === 'predict').toBe(true);
  return document;
}
/** What malt alone may bring. */
const MALT: readonly string[] = ['sh3', 'sha3'];

test.each(BRIEFS)('a design of %s, with reasons', (file) => {
  const explain = { whyNot: ['Saaz'] };
  holds(
    'design',
    designText(read(`briefs/${file}`), {
      base: model,
      options: { explain, timeLimitMs: 1000, now: countedTime() },
      tell,
    }),
  );
});

test('a curve', () => {
  const brief = read('briefs/near-empty-freezer.json');
  const curve = (against: 'closeness' | 'chance') =>
    tradeoffText(brief, against, {
      base: model,
      options: { timeLimitMs: 300, now: countedTime() },
      stock: LOTS,
      tell,
    });
  holds('tradeoff', curve('closeness'));
  const answer = curve('chance');
  holds('tradeoff', answer);
  if (!answer.ok) return;
  const { points } = answer.value.json as unknown as Pick<TradeoffAnswer, 'points'>;
  const [middle, ...others] = points;
  expect(middle!.holds_in_lots_at_least).toBe(0);
  expect(others.length).toBeGreaterThan(1);
  // Asked of the draws it is chosen by, told of others.
  for (const { holds_in_lots_at_least: share, blend } of others) {
    expect(blend.holds_in_lots).toBeGreaterThan(share! - 0.06);
  }
  expect(answer.value.text).toContain('% of lots');
});

test('a swap, a saving and the prediction of both schedules', () => {
  const options = { timeLimitMs: 2000, now: countedTime() };
  const request = { base: model, options, stock: LOTS, tell };
  holds('swap', swapText(read('schedules/out-of-stock.json'), request));
  holds('save', saveText(read('schedules/cheaper.json'), request));
  for (const file of ['out-of-stock', 'cheaper']) {
    const { name, batch, stages, additions } = JSON.parse(read(`schedules/${file}.json`));
    const schedule = { name, batch: { ...batch, co2_vol: 2.4 }, stages, additions };
    holds('predict', predictText(JSON.stringify(schedule), model, true));
  }
});

test('every id of every table resolves; one that does not is refused with a cure', () => {
  const ids = Object.values(PROVENANCE).flatMap((table) => Object.values(table).flat());
  expect(ids.filter((id) => !resolveProvenance(id).ok)).toEqual([]);
  for (const id of [
    'equation/none',
    'equation/concentration/none',
    'equation/ibu/linalool',
    'equation/shelf/linalool/soon',
    'parameter/toString',
    'search/none',
    'cell/citra/none',
    'cell/none/alpha_pct',
    'weight/citrus/none',
    'estimator/none',
    'x',
  ]) {
    expect(resolveProvenance(id).ok, id).toBe(false);
  }
});

test('a predicted compound names the cells that bring it, and each tells where it is from', () => {
  const { provenance, cells } = holds('predict', predictText(JSON.stringify(SCHEDULE), model));
  const behind = (...path: string[]) =>
    patternsOf(provenance, path).flatMap((pattern) => provenance[pattern]!);
  const linalool = behind('compounds', 'linalool', 'ug_per_l');
  expect(linalool.sort()).toEqual([
    'cell/cascade/linalool_pct_of_oil',
    'cell/cascade/total_oil_ml_per_100g',
    'cell/citra/linalool_pct_of_oil',
    'cell/citra/total_oil_ml_per_100g',
    'equation/concentration',
  ]);
  expect(behind('compounds', 'linalool', 'oav')).toContain('threshold/linalool');
  expect(behind('compounds', 'linalool', 'low')).toContain('equation/band');
  expect(behind('totals', 'ibu').filter((id) => id.startsWith('cell/'))).toEqual([
    'cell/citra/alpha_pct',
    'cell/cascade/alpha_pct',
  ]);
  const cell = cells.find(({ id }) => id === 'cell/citra/linalool_pct_of_oil')!;
  const resolved = resolveProvenance(cell.id);
  expect(resolved.ok && resolved.value).toMatchObject({
    status: cell.status,
    sources: cell.sources,
  });
});

test('the verb source tells value, range, status, sources and formula', () => {
  const json = (id: string) => {
    const found = sourceText(id, model);
    return found.ok ? found.value : null;
  };
  expect(json('parameter/dry_hop.yield.linalool')!.json).toMatchObject({
    low: 0.55,
    default: 0.8,
    high: 1,
    unit: 'fraction',
    sources: ['GAHR19', 'CALC'],
  });
  expect(json('equation/dry_hop_extraction')!.text).toContain('exp(');
  expect(json('threshold/linalool/us')!.json).toMatchObject({ default: 83, status: 'seen' });
  expect(json('cell/citra/alpha_pct')!.text).toMatch(/alpha acids of Citra/);
  expect(json('cell/citra/precursor')!.text).toMatch(/by class/);
  expect(json('cell/cascade/keeping')!.json).toMatchObject({ unit: '% of the fresh' });
  expect(json('equation/concentration/linalool')!.text).toMatch(/Linalool: compound in the beer/);
  expect(json('weight/citrus/limonene')).not.toBeNull();
  expect(json('source/GAHR19')!.text).toContain('Read:');
});
