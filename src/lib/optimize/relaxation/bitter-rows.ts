// The rows of the bitterness window that hold for every blend whose dry-hop load lies in an interval,
// and by how much an undecided cap undervalues the bitterness.
import type { GramsPerLitre } from '#shared/units.ts';
import type { BitterTerm, BlendProblem } from '#optimize/problem/problem.ts';
import { freeRow, type LoadInterval, type RowSource } from './rows.ts';
import { hotShare, sideIn, termIbu, termLine } from '#optimize/problem/bitterness.ts';
import { sumOver, type Doses } from '#optimize/problem/doses.ts';
import { bitterWindow } from '#optimize/problem/windows.ts';

/** Where less than this share of the hot bitterness is kept, no sloped row is written: it would exclude nothing. */
const LEAST_KEPT = 1e-6;

/**
 * Bitterness. min(alpha.x, cap) is concave: IBU at least L means every choice of {alpha.x, cap} per
 * term gives at least L (one row each); IBU at most U means some choice gives at most U, so the
 * search decides term by term, and an undecided term counts with its chord over the doses possible.
 * exp(-a D) is convex in D: chord above it, tangent below it, as the side asks.
 */
export function bitterSources(problem: BlendProblem): RowSource[] {
  const { bitter, dry } = problem;
  if (!bitter) return [];
  const { terms, base, plain, atLeast, atMost, adsorption } = bitter;
  const vectors = [plain, ...terms.map((t) => t.alpha), dry];
  const kept = (load: GramsPerLitre) => hotShare(bitter, load);
  const sources: RowSource[] = [];
  if (atLeast !== undefined) {
    const low = (slack: number) => {
      const ibu = bitterWindow(bitter, slack).low;
      return ibu > 0 ? ibu : -Infinity;
    };
    for (let choice = 0; choice < 1 << terms.length; choice += 1) {
      for (const sloped of [false, true]) {
        sources.push({
          name: 'IBU at least',
          vectors,
          members: null,
          moving: { side: 'lower', at: low },
          fixed: false,
          capped: false,
          essential: false,
          form: ({ from, to }) => {
            if (sloped && kept(to) < LEAST_KEPT) return freeRow(vectors);
            // Adsorbed IBU before adsorption beyond `enough` meets the wish alone.
            const enough = atLeast / kept(to);
            const factorHot = sloped ? kept(to) : kept(from);
            const chord =
              sloped && to > from ? (enough * (kept(from) - kept(to))) / (to - from) : 0;
            let constant = base;
            const factors = terms.map((term, i) => {
              const line = termLine(term, sideIn(choice, i), factorHot);
              constant += line.constant;
              return line.slope;
            });
            return {
              vectors,
              factors: [1, ...factors, -chord],
              lower: -constant - chord * to,
              upper: Infinity,
            };
          },
        });
      }
    }
  }
  if (atMost !== undefined) {
    const high = (slack: number) => bitterWindow(bitter, slack).high;
    for (const sloped of [false, true]) {
      sources.push({
        name: 'IBU at most',
        vectors,
        members: null,
        moving: { side: 'upper', at: high },
        fixed: false,
        capped: true,
        essential: false,
        form: ({ from, to }, slackMost, caps) => {
          if (sloped && kept(to) < LEAST_KEPT) return freeRow(vectors);
          const mostHot = high(slackMost) / kept(to);
          const factorHot = sloped ? kept(from) : kept(to);
          const tangent = sloped ? adsorption * kept(from) * mostHot : 0;
          let constant = base;
          const factors = terms.map((term, i) => {
            const side = caps[i]!;
            const line = termLine(term, side === 'open' ? 'linear' : side, factorHot);
            constant += line.constant;
            if (side !== 'open') return line.slope;
            const most = alphaMost(problem, term.alpha, to);
            return most > 0 ? line.slope * Math.min(1, term.cap / most) : 0;
          });
          return {
            vectors,
            factors: [1, ...factors, -tangent],
            lower: -Infinity,
            upper: -constant - tangent * from,
          };
        },
      });
    }
  }
  return sources;
}

/** IBU by which the chord of an undecided term undervalues a blend whose load is `load`. */
export function chordShare(
  problem: BlendProblem,
  term: BitterTerm,
  doses: Doses,
  { to }: LoadInterval,
  load: GramsPerLitre,
): number {
  const held = sumOver(term.alpha, doses);
  if (held === 0) return 0;
  const chord = held * Math.min(1, term.cap / alphaMost(problem, term.alpha, to));
  const hot = hotShare(problem.bitter!, load);
  return termIbu(term, held, hot) - termIbu(term, chord, hot);
}

/** What the columns of a term can bring: all at their most, per g/L of the strongest, dry hops alone. */
interface AlphaReach {
  readonly byColumn: number;
  readonly strongest: number;
  readonly dryOnly: boolean;
}

/** By the columns and their largest doses, then by the term: both decide. */
const reaches = new WeakMap<BlendProblem['columns'], Map<Float64Array, AlphaReach>>();

function reachOf({ columns, dry }: BlendProblem, alpha: Float64Array): AlphaReach {
  let ofColumns = reaches.get(columns);
  if (!ofColumns) reaches.set(columns, (ofColumns = new Map()));
  let reach = ofColumns.get(alpha);
  if (!reach) {
    let byColumn = 0;
    let strongest = 0;
    let dryOnly = true;
    for (let j = 0; j < alpha.length; j += 1) {
      byColumn += alpha[j]! * columns[j]!.most;
      strongest = Math.max(strongest, alpha[j]!);
      if (alpha[j]! > 0 && dry[j] === 0) dryOnly = false;
    }
    reach = { byColumn, strongest, dryOnly };
    ofColumns.set(alpha, reach);
  }
  return reach;
}

/** Most alpha acids a term can hold, mg/L, when the dry-hop load is at most `load`. */
function alphaMost(problem: BlendProblem, alpha: Float64Array, load: GramsPerLitre): number {
  const { byColumn, strongest, dryOnly } = reachOf(problem, alpha);
  return dryOnly ? Math.min(byColumn, strongest * load) : byColumn;
}
