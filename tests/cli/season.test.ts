// The verb season: the example as text and as JSON, lots of a stock list, and what is wrong with a document.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { numberPaths, patternsOf } from '#shared/evidence/provenance.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { cli, ROOT } from './run.ts';

const EXAMPLE = `${ROOT}seeds/seasons/spring.json`;
const document = () => JSON.parse(readFileSync(EXAMPLE, 'utf8'));
/** A plan in a moment: two batches of wishes that little is needed for. */
const small = () => {
  const season = document();
  season.minimise = 'weight';
  season.batches.splice(1, 1);
  season.candidates.splice(4);
  return season;
};

describe('season', () => {
  it('tells batch by batch what goes in, from which lot, and what to buy', async () => {
    const season = small();
    season.candidates[3] = { hop: 'Galaxy', form: 'pellet_90', price_per_kg: 48, package_g: 100 };
    season.batches[1].brief.limits.require = ['Galaxy'];
    const { code, out, err } = await cli(['season', '-'], JSON.stringify(season));
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/^Spring\n\nProven best: all batches together take \d+ g of hops/);
    expect(out).toContain('2026-04-04  Floral lager');
    expect(out).toMatch(/from: .*\((2025|2024|bought)\)/);
    expect(out).toMatch(/To buy\n {2}by 2026-04-04 +Galaxy +type 90 pellet +1 x 100 g +cost 4.8/);
  });

  it('gives JSON, every number with its provenance', async () => {
    const { code, out } = await cli(['season', '-', '--json'], JSON.stringify(small()));
    expect(code).toBe(0);
    const { provenance, ...answer } = JSON.parse(out);
    expect(answer.status).toBe('optimal');
    const wrong = numberPaths(answer).filter((path) => patternsOf(provenance, path).length !== 1);
    expect(wrong).toEqual([]);
    for (const id of new Set(Object.values(provenance).flat())) {
      expect(resolveProvenance(id as string).ok, id as string).toBe(true);
    }
  });

  it('names what clashes, and what is lacking', async () => {
    const season = small();
    season.batches = [season.batches[0], { ...season.batches[0], brew_on: '2026-02-14' }];
    season.batches.forEach(({ brief }: { brief: { limits: object } }) => {
      Object.assign(brief.limits, { require: ['Citra'], hops_at_most: 1 });
    });
    const { code, out } = await cli(['season', '-'], JSON.stringify(season));
    expect(code).toBe(0);
    expect(out).toContain('Not together: Tropical pale, Tropical pale with Citra (120 g).');
    expect(out).toMatch(/ {2}[\d.]+ g of Citra are missing/);
  });

  it.each<[string, (season: ReturnType<typeof document>) => void, RegExp]>([
    ['no lots', (s) => (s.candidates = 'table'), /candidates.*List the lots on hand/],
    ['no day', (s) => delete s.batches[1].brew_on, /batches\[1\]\.brew_on.*brew day/],
    [
      'a hop nobody knows',
      (s) => (s.candidates[0].hop = 'Mosaik'),
      /candidates\[0\].*Write Mosaic/,
    ],
    [
      'not searched for where packages are bought',
      (s) => {
        s.minimise = 'cost';
        s.candidates[3] = { hop: 'Galaxy', form: 'pellet_90', price_per_kg: 48, package_g: 100 };
        s.batches[1].brief.limits.holds_in_lots_at_least = 0.8;
      },
      /batches\[1\]\.brief\.limits\.holds_in_lots_at_least.*Take it out/,
    ],
    [
      'more kept than there is',
      (s) =>
        s.batches.forEach(({ brief }: { brief: { keep?: object[] } }) => {
          brief.keep = [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100 }];
        }),
      /grams_on_hand.*keep 200 g of Citra/,
    ],
  ])('refuses %s', async (_, spoil, expected) => {
    const season = small();
    spoil(season);
    const { code, out, err } = await cli(['season', '-'], JSON.stringify(season));
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(expected);
  });
});
