// The fit against an independent sampler, on a small instance: many plain random-walk Metropolis chains
// that know nothing of slopes, roots or Laplace. And the laws a fit must keep.
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { sampleIn } from '#engine/doubt/bands.ts';
import { sharedUnknowns } from '#engine/doubt/learned.ts';
import { atOnce } from '#engine/doubt/parts.ts';
import { parameterAt, randomFrom } from '#engine/doubt/sampling.ts';
import { normalShare } from '#engine/doubt/scores.ts';
import type { NoteScore, Tasted } from '#engine/learning/evidence.ts';
import { BIAS_SD, fitted, NOISE_GIVEN, tasterKey } from '#engine/learning/fit.ts';
import { taken } from '#engine/learning/learning.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { designOf } from '#engine/predict/design.ts';
import { PARAMETERS } from '#engine/symbols/term.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { scheduleOf } from '../support/examples.ts';

const OPEN = ['aroma.gain.citrus', 'aroma.gain.floral', 'aroma.exponent'] as const;
const sure = <T extends Interval>(row: T): T => ({ ...row, low: row.central, high: row.central });

/** The published model with three parameters and one reported signal left open. */
function smallModel(): Model {
  const parameters = Object.entries(model.parameters).map(([id, row]) => {
    if ((OPEN as readonly string[]).includes(id)) return [id, row];
    if (id.startsWith('spread.')) return [id, { ...row, low: 0, central: 0, high: 0 }];
    return [id, { ...row, fixed: true }];
  });
  const compounds = COMPOUNDS.map((c) => {
    const of = model.compounds[c];
    return [c, { ...of, threshold: of.threshold && sure(of.threshold) }];
  });
  return {
    ...model,
    parameters: Object.fromEntries(parameters) as Model['parameters'],
    compounds: Object.fromEntries(compounds) as Model['compounds'],
    weights: model.weights.map((row) => ({
      ...row,
      range: { low: row.weight, central: row.weight, high: row.weight },
    })),
    hops: model.hops.map((hop) => {
      const cells = Object.entries(hop.cells).map(([id, cell]) => [id, sure(cell)]);
      const reported = AXES.flatMap((axis) => {
        const cell = hop.reported[axis];
        if (!cell) return [];
        return [[axis, hop.name === 'Citra' && axis === 'tropical' ? cell : sure(cell)]];
      });
      return {
        ...hop,
        cells: Object.fromEntries(cells) as typeof hop.cells,
        reported: Object.fromEntries(reported) as typeof hop.reported,
      };
    }),
  };
}

const small = smallModel();
const ASKED: readonly AxisId[] = ['citrus', 'tropical', 'floral'];
const REPEATS = 16;

function batchOf(id: string, grams: number, said: Readonly<Record<string, number>>): Tasted {
  const outcome = designOf(
    small,
    scheduleOf([
      { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams },
      { hop: 'Cascade', form: 'pellet_90', stage: 'dry_hop', grams: 40 },
    ]),
  );
  if (!outcome.ok) throw new Error('a sound schedule');
  const scores = ASKED.flatMap((axis): NoteScore[] =>
    Array.from({ length: REPEATS }, () => ({ taster: 'A', axis, score: said[axis]! })),
  );
  const design = outcome.value;
  return { id, design, deliveries: design.additions.map((_, i) => `${id}${i}`), scores, lab: [] };
}

const BATCHES = [
  batchOf('one', 60, { citrus: 2.7, tropical: 2.8, floral: 2 }),
  batchOf('two', 120, { citrus: 3.1, tropical: 3.2, floral: 2.2 }),
];
const IDS = [...OPEN.map((id) => `parameter/${id}`), 'cell/citra/reported/tropical'];

/** Means and standard deviations of the scores, the taster's last, by Metropolis. */
function sampled(chains: number, steps: number, settling: number) {
  const random = randomFrom(0.21);
  const ranges = IDS.map((id) => sharedUnknowns(small).get(id)!.range);
  const size = IDS.length + 1;
  const costs = (state: readonly Float64Array[]): Float64Array => {
    const drawn = ranges.map((range, u) =>
      state[u]!.map((score) => parameterAt(range, normalShare(score))),
    );
    const world = {
      count: chains,
      valuesOf: ({ of, name }: { of: object; name: string }) => {
        if (of === PARAMETERS) {
          if (name.startsWith('aroma.middle.')) return 1;
          const u = IDS.indexOf(`parameter/${name}`);
          return u < 0 ? undefined : drawn[u];
        }
        const isOpen = name === 'reported.tropical' && (of as Lot).hop === 'Citra';
        return isOpen ? drawn[OPEN.length] : undefined;
      },
    };
    const cost = new Float64Array(chains);
    for (const scores of state) scores.forEach((s, k) => (cost[k]! += (s * s) / 2));
    for (const { design, scores } of BATCHES) {
      const { intensities } = sampleIn(small, design, world);
      for (const { axis, score } of scores) {
        const said = intensities[AXES.indexOf(axis)]!;
        for (let k = 0; k < chains; k += 1) {
          const off = (said[k]! + BIAS_SD * state[size - 1]![k]! - score) / NOISE_GIVEN;
          cost[k]! += (off * off) / 2;
        }
      }
    }
    return cost;
  };
  const state = Array.from({ length: size }, () =>
    Float64Array.from({ length: chains }, () => random.normal()),
  );
  const cost = costs(state);
  const sums = state.map(() => [0, 0] as [number, number]);
  for (let step = 0; step < steps; step += 1) {
    const trial = state.map((scores) => scores.map((s) => s + 0.35 * random.normal()));
    const trialCost = costs(trial);
    for (let k = 0; k < chains; k += 1) {
      if (random.uniform() >= Math.exp(cost[k]! - trialCost[k]!)) continue;
      cost[k] = trialCost[k]!;
      for (let u = 0; u < size; u += 1) state[u]![k] = trial[u]![k]!;
    }
    if (step < settling) continue;
    state.forEach((scores, u) =>
      scores.forEach((s) => {
        sums[u]![0] += s;
        sums[u]![1] += s * s;
      }),
    );
  }
  const count = chains * (steps - settling);
  return sums.map(([sum, squares]) => {
    const mean = sum / count;
    return { mean, sd: Math.sqrt(squares / count - mean * mean) };
  });
}

describe('the fit', () => {
  const posterior = fitted(small, BATCHES, false);
  const places = [...IDS, tasterKey('A')].map((id) => posterior.unknowns.placeOf(id)!);

  it('agrees with an independent sampler in means and spreads', () => {
    const found = sampled(300, 220, 60);
    const from = atOnce(taken(posterior, places));
    found.forEach(({ mean, sd }, u) => {
      // In standard deviations of the prior. Monte Carlo error is about 0.02; Laplace's bell leans less
      // than the posterior itself, and the two half triangles meet in a corner.
      expect(Math.abs(posterior.scores[places[u]!]! - mean)).toBeLessThan(0.12);
      expect(Math.abs(Math.sqrt(1 - from[u * places.length + u]!) - sd)).toBeLessThan(0.08);
    });
    // Something was learned at all.
    expect(Math.min(...found.map(({ sd }) => sd))).toBeLessThan(0.7);
  });

  it('is settled where every score balances what pulls at it', () => {
    expect(posterior.settled).toBe(true);
    const pull = new Float64Array(posterior.scores.length);
    posterior.observations.forEach(({ curve }, i) =>
      posterior.rows[curve]!.addTo(pull, posterior.pulls[i]!),
    );
    for (const [id, place] of posterior.unknowns.shared()) {
      if (IDS.includes(id)) expect(pull[place]!).toBeCloseTo(posterior.scores[place]!, 1);
    }
  });

  it('leaves everything where it was when a panel says what the model says', () => {
    const prior = BATCHES.map((batch) => {
      const world = {
        count: 1,
        valuesOf: ({ name }: { name: string }) =>
          name.startsWith('aroma.middle.') ? 1 : undefined,
      };
      const { intensities } = sampleIn(small, batch.design, world);
      return {
        ...batch,
        scores: batch.scores.map((s) => ({ ...s, score: intensities[AXES.indexOf(s.axis)]![0]! })),
      };
    });
    const { scores } = fitted(small, prior, false);
    for (const score of scores) expect(score).toBeCloseTo(0, 6);
  });
});
