// Every wish and limit of a problem with a fixed support as a smooth bound on the doses, with its figure in the
// brief's unit and the problem with it moved. Prices and reduced costs follow from them.
import type { PriceUnit } from '#shared/answers/answer.ts';
import { intensityOf, signalOf, signalSlopeOf } from '#engine/predict/smell.ts';
import { NONE, type Bound, type BoundTerm } from './bounds.ts';
import { leastNeeded } from '#optimize/search/fixed-support.ts';
import { dot } from '#optimize/lp/least-squares.ts';
import { sharesMoved } from '#optimize/problem/limit-rows.ts';
import { sideAt, sideIn, termLine, type CapSide } from '#optimize/problem/bitterness.ts';
import { limitSubject } from '#optimize/problem/limits.ts';
import type {
  AxisRow,
  BitterRow,
  BlendProblem,
  LimitOf,
  LinearLimit,
} from '#optimize/problem/problem.ts';

function axisBounds(problem: BlendProblem, row: AxisRow, at: number): Bound[] {
  const { values, halfLoads } = problem;
  const terms: BoundTerm[] = [
    { damping: NONE, base: row.base, vector: row.direct },
    ...row.damped.map((vector, g): BoundTerm => ({
      damping: { kind: 'half', load: halfLoads[g]! },
      base: row.dampedBase[g]!,
      vector,
    })),
  ];
  const moved = (change: Partial<AxisRow>) => ({
    ...problem,
    axes: problem.axes.map((r, i) => (i === at ? { ...r, ...change } : r)),
  });
  const of = (asked: number) => ({
    of: { kind: 'axis', axis: row.axis } as const,
    asked,
    unit: 'intensity' as const,
    slope: signalSlopeOf(asked, values),
    bound: signalOf(asked, values),
    terms,
    shown: (sum: number) => intensityOf(sum, values),
  });
  const bounds: Bound[] = [];
  if (row.low > 0) {
    const move = (low: number) => moved({ low });
    bounds.push({ ...of(row.low), side: 'at_least', sign: 1, moved: move });
  }
  if (row.high < Infinity) {
    const move = (high: number) => moved({ high });
    // At intensity 0 no finite change of intensity moves the signal to first order.
    const slope = row.high > 0 ? of(row.high).slope : 0;
    bounds.push({ ...of(row.high), slope, side: 'at_most', sign: -1, moved: move });
  }
  return bounds;
}

/** Terms of the bitterness where the given capped parts count with their cap. */
function bitterTerms(bitter: BitterRow, sides: readonly CapSide[]): BoundTerm[] {
  return [
    { damping: NONE, base: bitter.base, vector: bitter.plain },
    ...bitter.terms.map((term, i): BoundTerm => {
      const { constant, slope } = termLine(term, sides[i]!, 1);
      return {
        damping: term.adsorbed ? { kind: 'decay', rate: bitter.adsorption } : NONE,
        base: constant,
        vector: term.alpha.map((a) => slope * a),
      };
    }),
  ];
}

/** IBU at least: each choice of {alpha.x, cap} must give it. At most: the lower choice at x must. */
function bitterBounds(problem: BlendProblem, x: Float64Array): Bound[] {
  const { bitter } = problem;
  if (!bitter) return [];
  const { terms, atLeast, atMost } = bitter;
  const common = { unit: 'IBU' as const, slope: 1, shown: (ibu: number) => ibu };
  const bounds: Bound[] = [];
  if (atLeast !== undefined) {
    for (let choice = 0; choice < 1 << terms.length; choice += 1) {
      bounds.push({
        ...common,
        of: { kind: 'limit', limit: 'ibu_at_least' },
        side: 'at_least',
        asked: atLeast,
        bound: atLeast,
        sign: 1,
        terms: bitterTerms(
          bitter,
          terms.map((_, i) => sideIn(choice, i)),
        ),
        moved: (ibu) => ({ ...problem, bitter: { ...bitter, atLeast: ibu } }),
      });
    }
  }
  if (atMost !== undefined) {
    bounds.push({
      ...common,
      of: { kind: 'limit', limit: 'ibu_at_most' },
      side: 'at_most',
      asked: atMost,
      bound: atMost,
      sign: -1,
      terms: bitterTerms(
        bitter,
        terms.map((t) => sideAt(t, dot(t.alpha, x))),
      ),
      moved: (ibu) => ({ ...problem, bitter: { ...bitter, atMost: ibu } }),
    });
  }
  return bounds;
}

const UNITS: Readonly<Record<LimitOf['kind'], PriceUnit>> = {
  leaf: 'g_per_l',
  cost: 'money',
  stage: 'g_per_l',
  stock: 'g',
  share: 'share',
  require: 'g_per_l',
  objective: 'g_per_l',
};

/** A share of all hops at the doses x: one more per cent of it is a per cent of what is dosed. */
function shareBound(
  problem: BlendProblem,
  { coef, most }: LinearLimit,
  of: LimitOf & { kind: 'share' },
  x: Float64Array,
): Bound {
  const { asked, fixed } = of;
  const total = x.reduce((a, b) => a + b, fixed);
  return {
    of: limitSubject(of),
    side: 'at_most',
    asked,
    unit: UNITS.share,
    slope: total,
    sign: -1,
    bound: most,
    terms: [{ damping: NONE, base: 0, vector: coef }],
    moved: (fraction) => ({ ...problem, limits: sharesMoved(problem.limits, fraction) }),
    shown: (sum) => asked + (sum - most) / (total || 1),
  };
}

function limitBounds(problem: BlendProblem, x: Float64Array): Bound[] {
  const { limits, beerL } = problem;
  return limits.map((limit, at) => {
    const { of, coef, most, taken } = limit;
    if (of.kind === 'share') return shareBound(problem, limit, of, x);
    const unit = UNITS[of.kind];
    const scale = unit === 'g' ? beerL : 1;
    return {
      of: limitSubject(of),
      side: 'at_most',
      asked: (most + taken) * scale,
      unit,
      slope: 1 / scale,
      sign: -1,
      bound: most,
      terms: [{ damping: NONE, base: 0, vector: coef }],
      moved: (asked) => ({
        ...problem,
        limits: limits.map((l, i) => (i === at ? { ...l, most: asked / scale - taken } : l)),
      }),
      shown: (sum) => (sum + taken) * scale,
    };
  });
}

/** Least and largest doses. */
function doseBounds(problem: BlendProblem): Bound[] {
  const { columns, offers, beerL, least } = problem;
  const unit = (j: number) => Float64Array.from(columns, (_, i) => (i === j ? 1 : 0));
  const common = { unit: 'g' as const, slope: 1 / beerL };
  return columns.flatMap(({ lot, most, variety }, j) => {
    const terms: BoundTerm[] = [{ damping: NONE, base: 0, vector: unit(j) }];
    const shown = (sum: number) => sum * beerL;
    const bounds: Bound[] = [
      {
        ...common,
        of: least > 0 ? { kind: 'limit', limit: 'smallest_addition_g' } : null,
        side: 'at_least',
        asked: least * beerL,
        sign: 1,
        bound: least,
        terms,
        moved: (grams) => ({ ...problem, least: grams / beerL }),
        shown,
      },
    ];
    const { candidate } = offers[lot]!;
    bounds.push({
      ...common,
      of: offers[lot]!.lot.gramsOnHand === null ? null : { kind: 'stock', hop: candidate.hop },
      side: 'at_most',
      asked: most * beerL,
      sign: -1,
      bound: most,
      terms,
      moved: (grams) => ({
        ...problem,
        columns: columns.map((c, i) => (i === j ? { ...c, most: grams / beerL } : c)),
      }),
      shown,
    });
    const needed = leastNeeded(problem, variety);
    if (needed > 0 && problem.columnsOfVariety[variety]![0] === j) {
      const all = Float64Array.from(columns, (c) => (c.variety === variety ? 1 : 0));
      bounds.push({
        ...common,
        of: { kind: 'required', hop: problem.varieties[variety]! },
        side: 'at_least',
        asked: needed * beerL,
        sign: 1,
        bound: needed,
        terms: [{ damping: NONE, base: 0, vector: all }],
        moved: () => problem,
        shown,
      });
    }
    return bounds;
  });
}

/** All bounds of a problem with a fixed support, near the doses x (sides of capped bitterness, shares). */
export function boundsOf(problem: BlendProblem, x: Float64Array): Bound[] {
  return [
    ...problem.axes.flatMap((row, i) => axisBounds(problem, row, i)),
    ...bitterBounds(problem, x),
    ...limitBounds(problem, x),
    ...doseBounds(problem),
  ];
}
