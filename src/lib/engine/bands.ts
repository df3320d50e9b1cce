// Bands from seeded sampling: a design predicted in many drawn worlds, and the 10 and 90 % points.
// What is drawn, and from which distribution, is sampling.ts.
import { quantileSorted } from 'simple-statistics';
import type { Band } from '#shared/answer.ts';
import type { Design } from './design.ts';
import type { Model } from './model.ts';
import { predictPoint, type Point, type World } from './predict.ts';
import { drawLot, drawThresholds, drawValues, randomFrom } from './sampling.ts';

/** How a band is drawn. */
export interface BandOptions {
  /** Number of draws, 20 to 10,000. */
  readonly samples: number;
  readonly seed: number;
}
export const DEFAULT_BAND: BandOptions = { samples: 200, seed: 20 };

/** Predicts a design once per draw. */
export function samplePoints(model: Model, design: Design, band: BandOptions): Point[] {
  const random = randomFrom(band.seed);
  const lots = [...new Set(design.additions.map((a) => a.lot))];
  return Array.from({ length: band.samples }, () => {
    const world: World = {
      values: drawValues(model, random),
      thresholds: drawThresholds(model, random),
      lots: new Map(lots.map((lot) => [lot, drawLot(lot, random)])),
    };
    return predictPoint(model, design, world);
  });
}

/** 10 and 90 % points (R quantile type 7 on the draws, as simple-statistics computes them). */
export function bandOf(draws: number[]): Band {
  draws.sort((a, b) => a - b);
  return { low: quantileSorted(draws, 0.1), high: quantileSorted(draws, 0.9) };
}
