// Which varieties are alike in their oil. Shares of oil are parts of a whole, so they are compared by
// centred log-ratios (Aitchison): twice as much of a part counts the same whether it is 1 % or 30 %.
// The map shows the two directions in which the varieties differ most (principal components).
import { mean } from 'simple-statistics';
import { analyteOf, type OilCompoundId } from '#shared/ids.ts';
import type { Hop } from '#shared/schemas/tables.ts';

/** The parts of oil most varieties have a figure for; what is left of 100 % is one more part. */
export const COMPARED_COMPOUNDS = [
  'myrcene',
  'humulene',
  'caryophyllene',
  'farnesene',
  'linalool',
  'geraniol',
] as const satisfies readonly OilCompoundId[];
export const COMPARED_PARTS = [...COMPARED_COMPOUNDS, 'rest'] as const;
export type ComparedPart = (typeof COMPARED_PARTS)[number];

/**
 * A smaller share counts as this, % of oil: a ratio needs a figure, and tables print little below it.
 * Farnesene is commonly printed as "below 1 %"; a finer floor would let traces nobody measured rule
 * the whole map.
 */
const leastShare = (part: ComparedPart) => (part === 'farnesene' ? 0.5 : 0.05);

export interface Compared {
  readonly hop: Hop;
  /** Centred log-ratios in the order of COMPARED_PARTS; they sum to 0. */
  readonly ratios: readonly number[];
  /** Compared figures that are estimates, so that the variety may stand elsewhere. */
  readonly estimated: readonly OilCompoundId[];
}

/** Centred log-ratios of shares; shares are positive, on any common scale. */
export function centredLogRatios(shares: readonly number[]): number[] {
  const logs = shares.map(Math.log);
  const centre = mean(logs);
  return logs.map((log) => log - centre);
}

/** Log-ratios of a variety, or `null` where one of the compared figures is missing. */
export function comparedOf(hop: Hop): Compared | null {
  const cells = COMPARED_COMPOUNDS.map((compound) => hop.cells[analyteOf(compound)]);
  if (cells.some((cell) => cell === undefined)) return null;
  const shares = COMPARED_COMPOUNDS.map((c, i) => Math.max(leastShare(c), cells[i]!.central));
  const rest = Math.max(leastShare('rest'), 100 - shares.reduce((sum, share) => sum + share, 0));
  return {
    hop,
    ratios: centredLogRatios([...shares, rest]),
    estimated: COMPARED_COMPOUNDS.filter((_, i) => cells[i]!.status === 'estimated'),
  };
}

/** Aitchison distance: 0 for the same oil; doubling one part against all others adds about 0.6. */
export function distance(a: Compared, b: Compared): number {
  return Math.hypot(...a.ratios.map((ratio, i) => ratio - b.ratios[i]!));
}

export interface Neighbour {
  readonly hop: Hop;
  readonly distance: number;
}

/** The varieties whose oil is most alike, nearest first. */
export function nearest(of: Compared, among: readonly Compared[], count: number): Neighbour[] {
  return among
    .filter((other) => other.hop.id !== of.hop.id)
    .map((other) => ({ hop: other.hop, distance: distance(of, other) }))
    .sort((a, b) => a.distance - b.distance)
    .slice(0, count);
}

/** One direction of the map. */
export interface Direction {
  /** Part of all differences between the varieties that lies along it, 0 to 1. */
  readonly share: number;
  /** What grows along it, by part; unit length. The largest is positive. */
  readonly loadings: Readonly<Record<ComparedPart, number>>;
}

export interface HopMap {
  readonly places: readonly {
    readonly compared: Compared;
    readonly at: readonly [number, number];
  }[];
  readonly directions: readonly [Direction, Direction];
}

/**
 * Eigenvalues and eigenvectors of a small symmetric matrix by Jacobi rotations (Golub and Van Loan,
 * Matrix Computations, section 8.5; from memory), largest eigenvalue first.
 */
export function symmetricEigen(
  matrix: readonly (readonly number[])[],
): { readonly value: number; readonly vector: readonly number[] }[] {
  const n = matrix.length;
  const a = matrix.map((row) => [...row]);
  const v = a.map((_, i) => a.map((__, j) => (i === j ? 1 : 0)));
  const size = Math.hypot(...a.flat());
  const off = () => Math.hypot(...a.flatMap((row, i) => row.filter((_, j) => j !== i)));
  while (off() > 1e-14 * size) {
    for (let p = 0; p < n - 1; p += 1) {
      for (let q = p + 1; q < n; q += 1) {
        const [pp, qq, pq] = [a[p]![p]!, a[q]![q]!, a[p]![q]!];
        if (pq === 0) continue;
        const tau = (qq - pp) / (2 * pq);
        const t = tau === 0 ? 1 : Math.sign(tau) / (Math.abs(tau) + Math.hypot(1, tau));
        const c = 1 / Math.hypot(1, t);
        const s = t * c;
        const turn = (x: number[][], i: number, columns: boolean) => {
          const [first, second] = columns ? [x[i]![p]!, x[i]![q]!] : [x[p]![i]!, x[q]![i]!];
          const [one, two] = [c * first - s * second, s * first + c * second];
          if (columns) [x[i]![p], x[i]![q]] = [one, two];
          else [x[p]![i], x[q]![i]] = [one, two];
        };
        for (let i = 0; i < n; i += 1) turn(a, i, true);
        for (let i = 0; i < n; i += 1) turn(a, i, false);
        for (let i = 0; i < n; i += 1) turn(v, i, true);
      }
    }
  }
  return a
    .map((row, j) => ({ value: row[j]!, vector: v.map((vi) => vi[j]!) }))
    .sort((x, y) => y.value - x.value);
}

/** The map of the varieties that can be compared; needs at least three. */
export function hopMap(compared: readonly Compared[]): HopMap {
  const parts = COMPARED_PARTS.length;
  const centres = Array.from({ length: parts }, (_, i) => mean(compared.map((c) => c.ratios[i]!)));
  const off = compared.map(({ ratios }) => ratios.map((ratio, i) => ratio - centres[i]!));
  const covariance = centres.map((_, i) =>
    centres.map((__, j) => mean(off.map((row) => row[i]! * row[j]!))),
  );
  const eigen = symmetricEigen(covariance);
  const total = eigen.reduce((sum, { value }) => sum + value, 0);
  const chosen = eigen.slice(0, 2).map(({ value, vector }) => {
    const largest = vector.reduce((best, x) => (Math.abs(x) > Math.abs(best) ? x : best), 0);
    return { share: value / total, along: vector.map((x) => x * Math.sign(largest)) };
  });
  const at = (row: readonly number[], along: readonly number[]) =>
    row.reduce((sum, x, i) => sum + x * along[i]!, 0);
  const [first, second] = chosen as [(typeof chosen)[0], (typeof chosen)[0]];
  const directionOf = ({ share, along }: typeof first): Direction => ({
    share,
    loadings: Object.fromEntries(
      COMPARED_PARTS.map((p, i) => [p, along[i]!]),
    ) as Direction['loadings'],
  });
  return {
    places: compared.map((c, i) => ({
      compared: c,
      at: [at(off[i]!, first.along), at(off[i]!, second.along)] as const,
    })),
    directions: [directionOf(first), directionOf(second)],
  };
}
