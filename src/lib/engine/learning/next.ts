// Which further evidence would teach most: by how much another taster, or a lab figure, of a batch is expected
// to narrow the prediction of the newest beer, if it were brewed again. In Laplace's approximation the variance
// removed does not depend on the result of the evidence.
import { AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import { dot, rootOf, solvedBelow } from '#engine/doubt/cholesky.ts';
import type { Parts } from '#engine/doubt/parts.ts';
import type { BatchModel, FigureOf, LabId } from './evidence.ts';
import { BIAS_SD, NOISE_GIVEN, type Posterior } from './fit.ts';
import type { SlopeRow } from './slope-row.ts';

/** Relative standard deviation of a lab figure that is still to come: usual between runs (common practice, no source). */
export const LAB_PRECISION = 0.1;
/** Evidence that removes less than this share of the variance is not listed. */
const LEAST_SHARE = 0.005;
const SHOWN = 5;

export interface NextEvidence {
  readonly batch: string;
  /** One more taster, with all ten notes, or one lab figure. */
  readonly kind: 'taster' | LabId;
  /** Share of the variance of all notes that it is expected to remove, 0 to 1. */
  readonly share: number;
  /** The note it narrows most, with its standard deviation before and after, in points. */
  readonly axis: AxisId;
  readonly from: number;
  readonly to: number;
}

/** How a figure of a beer is related to the evidence. */
interface KnownFigure {
  readonly row: SlopeRow;
  /** By unknown, the slopes of the figure. */
  readonly all: Float64Array;
  /** Covariance with each observation, divided by the root of theirs. */
  readonly seen: Float64Array;
}

/** Further evidence on the batches, that which teaches most first. */
export function* nextEvidence(posterior: Posterior): Parts<NextEvidence[]> {
  const { batches, scores, unknowns, observations, rows, root } = posterior;
  const n = observations.length;
  const known = (row: SlopeRow): KnownFigure => {
    const all = row.addTo(new Float64Array(unknowns.count));
    const byCurve = rows.map((other) => other.times(all));
    const common = Float64Array.from(observations, ({ curve }) => byCurve[curve]!);
    return { row, all, seen: solvedBelow(root, n, common) };
  };
  const covariance = (a: KnownFigure, b: KnownFigure) => a.row.times(b.all) - dot(a.seen, b.seen);
  const rowOf = (batch: BatchModel, of: FigureOf) => known(batch.row(of, scores));

  // A beer brewed again shares what every batch shares, but not its delivery of hops.
  const shared = new Set(unknowns.shared().map(([, place]) => place));
  const newest = batches.at(-1)!;
  const wanted = AXES.map((axis) =>
    known(newest.row({ axis }, scores).within(shared, unknowns.count)),
  );
  const before = wanted.map((w) => Math.max(covariance(w, w), 0));
  const whole = before.reduce((a, b) => a + b, 0);

  const options = (
    batch: string,
    kind: NextEvidence['kind'],
    seen: KnownFigure[],
    noise: Float64Array,
  ) => {
    const size = seen.length;
    const matrix = new Float64Array(size * size);
    for (let i = 0; i < size; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        const value = covariance(seen[i]!, seen[j]!) + noise[i * size + j]!;
        matrix[i * size + j] = value;
        matrix[j * size + i] = value;
      }
    }
    const own = rootOf(matrix, size);
    if (!own) return [];
    const taken = wanted.map((w) => {
      const part = solvedBelow(
        own,
        size,
        Float64Array.from(seen, (s) => covariance(w, s)),
      );
      return dot(part, part);
    });
    const share = whole > 0 ? taken.reduce((a, b) => a + b, 0) / whole : 0;
    const a = taken.indexOf(Math.max(...taken));
    const left = Math.sqrt(Math.max(0, before[a]! - taken[a]!));
    return [{ batch, kind, share, axis: AXES[a]!, from: Math.sqrt(before[a]!), to: left }];
  };

  const another = Float64Array.from({ length: AXES.length ** 2 }, (_, at) => {
    const onDiagonal = Math.floor(at / AXES.length) === at % AXES.length;
    return BIAS_SD ** 2 + (onDiagonal ? NOISE_GIVEN ** 2 : 0);
  });
  const lab = Float64Array.of(LAB_PRECISION ** 2);
  const all: NextEvidence[] = [];
  for (const batch of batches) {
    const { id } = batch.of;
    const glass: KnownFigure[] = [];
    for (const axis of AXES) {
      glass.push(rowOf(batch, { axis }));
      yield;
    }
    all.push(...options(id, 'taster', glass, another));
    for (const of of ['ibu', ...COMPOUNDS] as const) {
      if (!(batch.value({ lab: of }) > 0)) continue;
      all.push(...options(id, of, [rowOf(batch, { lab: of })], lab));
      yield;
    }
  }
  return all
    .filter(({ share }) => share >= LEAST_SHARE)
    .sort((a, b) => b.share - a.share)
    .slice(0, SHOWN);
}
