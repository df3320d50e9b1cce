// Briefs over long or awkward lists of lots, repeatable: for tests of how they are searched, and for
// the benchmark of how the time grows with them.
import tropical from '#seeds/briefs/tropical.json' with { type: 'json' };
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { between, randomBrief, type Shape } from './instances.ts';

const SHAPE = {
  forms: 1,
  stages: ['mash', 'hot_steep', 'dry_hop'],
  wishes: 4,
  beerL: 40,
  hopsAtMost: 5,
  smallest: 10,
  step: 1,
} as const;

function withLots(brief: Brief, candidates: readonly Candidate[]): Brief {
  return briefSchema.parse({ ...brief, candidates });
}

function listed(seed: number, shape: Partial<Shape> & Pick<Shape, 'hops'>): Brief {
  return randomBrief(seed, { ...SHAPE, ...shape });
}

/** Lots of one hop in one form, their analyses up to a fifth apart. */
export function lotsOfOneHop(count: number, seed = 1): Brief {
  const brief = listed(7000 + seed, { hops: 1, lotsPerHop: count, hidden: 4 });
  const lots = brief.candidates as Candidate[];
  return withLots(
    brief,
    lots.map((lot) => ({ ...lot, price_per_kg: 40, grams_on_hand: 60 })),
  );
}

/** Lots of 20 hops, those of one hop within 0.01 % of each other. */
export function lotsAlike(count: number, seed = 1): Brief {
  const brief = listed(7100 + seed, { hops: 20 });
  const random = randomFrom(0.5);
  const hops = brief.candidates as Candidate[];
  const lots = Array.from({ length: count }, (_, i) => {
    const lot = hops[i % hops.length]!;
    const figures = Object.entries(lot.analysis!).map(([analyte, figure]) => [
      analyte,
      typeof figure === 'number' ? figure * between(random, 0.9999, 1) : figure,
    ]);
    return { ...lot, analysis: Object.fromEntries(figures), grams_on_hand: 30 };
  });
  return withLots(brief, lots);
}

/** Lots of as many hops, each sold in packages. */
export function lotsInPackages(count: number, packageG = 100, seed = 1, tight = false): Brief {
  const wishes = tight ? ({ wishes: 6, hidden: 5, room: [0.03, 0.15], ibu: true } as const) : {};
  const brief = listed(7200 + seed, { hops: count, minimise: 'cost', ...wishes });
  const lots = brief.candidates as Candidate[];
  return withLots(
    brief,
    lots.map((lot) => ({ ...lot, package_g: packageG })),
  );
}

/** The hop table at drawn prices, each hop in its usual forms sold in packages. */
export function tableInPackages(packageG: number): Brief {
  const random = randomFrom(0.25);
  const lots = model.hops
    .filter((hop) => hop.missing.length === 0)
    .flatMap((hop) =>
      hop.forms.map((form) => ({
        hop: hop.name,
        form,
        price_per_kg: Math.round(between(random, 20, 70)),
        package_g: packageG,
      })),
    );
  return briefSchema.parse({ ...tropical, minimise: 'cost', candidates: lots });
}

/** Four hops of many, each at most, and so exactly, a quarter of the weight. */
export function sharesOfWidthZero(count: number, seed = 1): Brief {
  const brief = listed(7300 + seed, { hops: count, ibu: true });
  return { ...brief, limits: { ...brief.limits, hops_at_most: 4, share_at_most: 0.25 } };
}

/** A bitterness and a note to be hit exactly, doses free. */
export function windowsOfWidthZero(count: number, seed = 1): Brief {
  const brief = listed(7400 + seed, { hops: count, ibu: true });
  const { weigh_step_g: _, ...limits } = brief.limits;
  const ibu = limits.ibu_at_most ?? 20;
  const wishes = Object.entries(brief.target).map(([axis, wish], i) => {
    const at = wish.aim ?? wish.at_least ?? wish.at_most;
    return [axis, i === 0 ? { at_least: at, at_most: at } : wish];
  });
  return briefSchema.parse({
    ...brief,
    target: Object.fromEntries(wishes) as Brief['target'],
    limits: { ...limits, ibu_at_least: ibu, ibu_at_most: ibu },
  });
}

const SIZES = [25, 50, 100, undefined] as const;

/** A drawn brief whose lots are sold in packages of several sizes, some by the gram. */
export function packagedBrief(seed: number, shape: Partial<Shape> = {}): Brief {
  const brief = randomBrief(seed, {
    hops: 3 + (seed % 3),
    forms: 1,
    stages: ['mash', 'hot_steep'],
    wishes: 3,
    beerL: 20,
    ...(seed % 2 ? { step: 5, smallest: 10 } : {}),
    ...(seed % 3 ? { hopsAtMost: 3 } : {}),
    minimise: 'cost',
    ...shape,
  });
  const lots = brief.candidates as Candidate[];
  const candidates = lots.map((lot, i) => {
    const package_g = SIZES[(seed + i) % SIZES.length];
    return package_g === undefined ? lot : { ...lot, package_g };
  });
  return { ...brief, candidates };
}
