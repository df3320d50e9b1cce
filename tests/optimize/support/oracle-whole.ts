// The whole mixed-integer program of a brief for an interval of chosen dry hop, from the reading of its document: at
// one load it is exact; over an interval every wish is judged at the end of the interval that is easiest for it, so
// that no blend with a load in the interval is lost.
import { group } from 'd3';
import { AXES } from '#shared/ids.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { Minimise, Wish } from '#shared/schemas/brief.ts';
import { signalOf } from '#engine/predict/smell.ts';
import { nameKey } from '#shared/name-key.ts';
import { findHop } from '#engine/lot/composition.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { REQUIRED_G_PER_L } from '#optimize/problem/problem.ts';
import { windowOf } from '#optimize/problem/windows.ts';
import { OracleProgram } from './oracle-program.ts';
import {
  bitterParts,
  maltSignal,
  mostAt,
  paidPerG,
  plainBitterness,
  signalPer,
  type Choice,
  type Place,
  type Reading,
} from './oracle-reading.ts';

const values = defaultValues(model);

export interface OracleOptions {
  /** Intensities by which wishes are widened; bitterness by 5 IBU each. */
  readonly slack?: number;
  /** Relative gap at which a program counts as solved. */
  readonly gap?: number;
  /** Gives up after this long and answers as if there were none; for comparing speed only. */
  readonly seconds?: number;
  /** Only blends of a lesser objective are sought. */
  readonly below?: number;
}

export interface OracleBlend {
  /** Fixed additions counted. */
  readonly objective: number;
  /** Chosen additions, kept ones not among them. */
  readonly additions: readonly LotAddition[];
}

/** Grams of chosen dry hop, from and to. */
export interface DryGrams {
  readonly from: number;
  readonly to: number;
}

/** Rounding allowed in a limit that follows from a reduced cost, g. */
const ROUNDING_G = 1e-6;
/** Far more grams than any of these briefs takes. */
const MOST_G = 1e4;

/** Every way to choose for each of `n` things between false and true. */
function sides(n: number): boolean[][] {
  return Array.from({ length: 1 << n }, (_, i) =>
    Array.from({ length: n }, (_, k) => ((i >> k) & 1) === 1),
  );
}

/** The window of a wish; where the closest match is asked for, an aim is the aim itself. */
function asked(wish: Wish, minimise: Minimise): { low: number; high: number } {
  const { aim, at_least: low = -Infinity, at_most: high = Infinity } = wish;
  if (minimise !== 'closest') return windowOf(wish);
  return aim === undefined ? { low, high } : { low: Math.max(low, aim), high: Math.min(high, aim) };
}

/** The program of all blends whose chosen dry hop lies between two weights. */
export class Whole {
  private readonly program: OracleProgram;
  private readonly reading: Reading;
  private readonly choices: readonly Choice[];
  private readonly columns: readonly number[];
  private readonly mosts: readonly number[];
  /** Number of packages of each lot that is bought in such, and what one costs. */
  private readonly bought: readonly (readonly [number, number])[];
  private readonly unit: number;
  private readonly beerL: number;
  private readonly slack: number;
  /** Total loads at the two ends, g/L. */
  private readonly least: number;
  private readonly most: number;

  /** @param program the program to write it into; that of several blends connects them. */
  constructor(
    reading: Reading,
    dry: DryGrams,
    { slack = 0, below = Infinity }: OracleOptions,
    program = new OracleProgram(),
  ) {
    this.program = program;
    const { choices, step, base, fixedDry, brief } = reading;
    this.reading = reading;
    this.choices = choices;
    this.slack = slack;
    this.beerL = brief.batch.beer_l;
    this.least = (fixedDry + dry.from) / this.beerL;
    this.most = (fixedDry + dry.to) / this.beerL;
    this.unit = step > 0 ? step : 1;
    this.mosts = choices.map((c) => {
      const grams = Math.min(c.most, c.isDry ? dry.to : Infinity);
      const worth = Math.min(grams, (below - base) / c.worth);
      return step > 0 ? Math.floor(worth / step + 1e-9) * step : worth;
    });
    this.columns = choices.map((c, j) =>
      this.program.column(c.worth * this.unit, 0, this.mosts[j]! / this.unit, step > 0),
    );
    const paid = brief.minimise === 'cost';
    this.bought = reading.packages.map(({ index, grams, paid: price }) => {
      const own = choices.reduce((s, c, j) => s + (c.index === index ? this.mosts[j]! : 0), 0);
      const most = Math.ceil(Math.min(own, MOST_G) / grams);
      const count = this.program.column(paid ? price : 0, 0, most, true);
      const used = this.sum((c) => (c.index === index ? 1 : 0));
      this.program.atMost([...used, [count, -grams]], 0);
      return [count, price];
    });
    const isDry = this.sum((c) => (c.isDry ? 1 : 0));
    this.program.row(isDry, dry.from, dry.to);
    if (below < Infinity)
      this.program.atMost(
        [...this.sum((c) => c.worth), ...(paid ? this.bought : [])],
        below - base,
      );
    this.wishes();
    this.bitterness();
    this.maxima();
    this.shares();
    this.counts();
  }

  /** Sum over grams. */
  private sum(of: (choice: Choice) => number): (readonly [number, number])[] {
    return this.choices.map((c, j) => [this.columns[j]!, of(c) * this.unit] as const);
  }

  /** Grams taken of the lot at this place of the brief's candidates. */
  taken(index: number): (readonly [number, number])[] {
    return this.sum((c) => (c.index === index ? 1 : 0)).filter(([, grams]) => grams > 0);
  }

  /** What fixed additions bring of something given per g/L. */
  private fixed(of: (place: Place) => number): number {
    return this.reading.fixed.reduce((sum, k) => sum + (of(k) * k.grams) / this.beerL, 0);
  }

  private wishes(): void {
    const { program, slack, beerL } = this;
    const { brief } = this.reading;
    for (const axis of AXES) {
      const wish = brief.target[axis];
      if (!wish) continue;
      const { low, high } = asked(wish, brief.minimise);
      const side = (load: number) => {
        const per = (place: Place) => signalPer(place, axis, load);
        return {
          terms: this.sum((c) => per(c) / beerL),
          rest: maltSignal(brief, axis) + this.fixed(per),
        };
      };
      if (low - slack > 0) {
        const { terms, rest } = side(this.least);
        program.atLeast(terms, signalOf(low - slack, values) - rest);
      }
      if (high < Infinity) {
        const { terms, rest } = side(this.most);
        program.atMost(terms, signalOf(high + slack, values) - rest);
      }
    }
  }

  private bitterness(): void {
    const { program, beerL } = this;
    const { brief } = this.reading;
    const widened = brief.minimise === 'closest' ? 0 : 5 * this.slack;
    const { ibu_at_least: atLeast, ibu_at_most: atMost } = brief.limits;
    const plain = this.sum((c) => plainBitterness(c.effect) / beerL);
    const rest = this.fixed((p) => plainBitterness(p.effect));
    if (atLeast !== undefined) {
      // IBU is the least over all choices of alpha or cap per part, so each choice must reach it.
      const parts = bitterParts(brief, this.least);
      for (const capped of sides(parts.length)) {
        let constant = rest;
        const terms = [...plain];
        parts.forEach(({ alphaOf, cap, weight }, i) => {
          if (capped[i]) constant += weight * cap;
          else {
            constant += weight * this.fixed((p) => alphaOf(p));
            terms.push(...this.sum((c) => (weight * alphaOf(c)) / beerL));
          }
        });
        program.atLeast(terms, atLeast - widened - constant);
      }
    }
    if (atMost !== undefined) {
      const terms = [...plain];
      for (const { alphaOf, cap, weight } of bitterParts(brief, this.most)) {
        const held = this.fixed((p) => alphaOf(p));
        const alpha = this.sum((c) => alphaOf(c) / beerL);
        const reach =
          held + this.choices.reduce((s, c, j) => s + (alphaOf(c) / beerL) * this.mosts[j]!, 0);
        if (reach === 0) continue;
        const counted = program.column(0, 0, Infinity);
        const atCap = program.column(0, 0, 1, true);
        // counted >= alpha unless at the cap; counted >= cap if at the cap
        program.atLeast(
          [[counted, 1], [atCap, reach], ...alpha.map(([j, v]) => [j, -v] as const)],
          held,
        );
        program.atLeast(
          [
            [counted, 1],
            [atCap, -cap],
          ],
          0,
        );
        terms.push([counted, weight]);
      }
      program.atMost(terms, atMost + widened - rest);
    }
  }

  private maxima(): void {
    const { program, beerL } = this;
    const { brief, free, fixed } = this.reading;
    const { limits } = brief;
    if (limits.leaf_g_per_l_after_mash_at_most !== undefined) {
      const leaf = this.fixed((p) => p.effect.leaf);
      program.atMost(
        this.sum((c) => c.effect.leaf / beerL),
        limits.leaf_g_per_l_after_mash_at_most - leaf,
      );
    }
    if (limits.cost_at_most !== undefined) {
      const spent = fixed.reduce((sum, k) => sum + (k.grams / 1000) * k.lot.pricePerKg!, 0);
      program.atMost(
        [...this.sum((c) => paidPerG(brief, c.lot)), ...this.bought],
        limits.cost_at_most - spent,
      );
    }
    for (const { key: stage } of stagesOf(brief.stages)) {
      const taken = fixed.reduce((sum, k) => sum + (k.stage === stage ? k.grams : 0), 0);
      const most = mostAt(brief, stage, taken);
      if (most === Infinity) continue;
      program.atMost(
        this.sum((c) => (c.stage === stage ? 1 : 0)),
        most - taken,
      );
    }
    free.forEach((grams, index) => {
      if (grams === Infinity) return;
      program.atMost(
        this.sum((c) => (c.index === index ? 1 : 0)),
        Math.max(0, grams),
      );
    });
  }

  private shares(): void {
    const { share_at_most: share } = this.reading.brief.limits;
    if (share === undefined) return;
    const { fixed } = this.reading;
    const total = fixed.reduce((sum, k) => sum + k.grams, 0);
    for (const key of new Set([...this.choices, ...fixed].map((p) => p.key))) {
      const own = fixed.reduce((sum, k) => sum + (k.key === key ? k.grams : 0), 0);
      // own + chosen <= share (total + all chosen)
      this.program.atMost(
        this.sum((c) => (c.key === key ? 1 - share : -share)),
        share * total - own,
      );
    }
  }

  /** For each of some sets of choices a column that is 1 where any of them has a dose. */
  private used(sets: readonly (readonly number[])[]): number[] {
    const { program, columns, mosts, unit } = this;
    return sets.map((own) => {
      const used = program.column(0, 0, 1, true);
      for (const j of own) {
        program.atMost(
          [
            [columns[j]!, unit],
            [used, -mosts[j]!],
          ],
          0,
        );
      }
      return used;
    });
  }

  /** No more than so many of these are 1. */
  private few(used: readonly number[], most: number): void {
    this.program.atMost(
      used.map((column) => [column, 1] as const),
      most,
    );
  }

  private counts(): void {
    const { program, choices, columns, unit, beerL } = this;
    const { brief, least, step } = this.reading;
    const { hops_at_most: hopsAtMost, additions_at_most: additions, require } = brief.limits;
    const { forms_per_hop_at_most: formsPerHop = 1 } = brief.limits;
    const each = columns.map((_, j) => [j]);
    if (least > step || additions !== undefined) {
      const used = this.used(each);
      columns.forEach((dose, j) =>
        program.atLeast(
          [
            [dose, unit],
            [used[j]!, -least],
          ],
          0,
        ),
      );
      if (additions !== undefined) this.few(used, additions);
    }
    const by = (of: (choice: Choice) => string) =>
      [...group(each.flat(), (j) => of(choices[j]!)).values()].map((own) => [...own]);
    if (hopsAtMost !== undefined) this.few(this.used(by((c) => c.key)), hopsAtMost);
    for (const own of by((c) => c.key)) {
      const forms = [...group(own, (j) => choices[j]!.lot.form).values()].map((f) => [...f]);
      if (forms.length > formsPerHop) this.few(this.used(forms), formsPerHop);
    }
    for (const name of require) {
      const key = nameKey(findHop(model, name)?.name ?? name);
      const enough = Math.max(least, step) || REQUIRED_G_PER_L * beerL;
      program.atLeast(
        this.sum((c) => (c.key === key ? 1 : 0)),
        enough,
      );
    }
  }

  /**
   * The least objective where doses, counts and sides need not be whole, a bound from below that is
   * quickly had; and the most grams each choice has in a blend of an objective less than `below`:
   * what is left to it over its reduced cost (Dantzig, Fulkerson and Johnson 1954).
   */
  relax(below: number): (OracleBlend & { readonly mosts: readonly number[] }) | null {
    const solved = this.program.solve(0, 600, { relaxed: true });
    if (!solved) return null;
    const { base, choices } = this.reading;
    const left = below - base - solved.cost;
    const grams = (j: number) => solved.values[this.columns[j]!]! * this.unit;
    return {
      objective: base + solved.cost,
      additions: choices.map(({ lot, stage }, j) => ({ lot, stage, grams: grams(j) })),
      mosts: choices.map((_, j) => {
        const reduced = solved.reduced[this.columns[j]!]!;
        const most = reduced > 1e-9 ? (left / reduced) * this.unit + ROUNDING_G : Infinity;
        return Math.min(most, this.mosts[j]!);
      }),
    };
  }

  solve({ gap = 1e-6, seconds = 600 }: OracleOptions): OracleBlend | null {
    const solved = this.program.solve(gap, seconds);
    if (!solved) return null;
    const additions = this.choices.flatMap(({ lot, stage }, j) => {
      const amount = solved.values[this.columns[j]!]!;
      const grams = this.reading.step > 0 ? Math.round(amount) * this.unit : amount;
      return grams > 1e-7 ? [{ lot, stage, grams }] : [];
    });
    return { objective: this.reading.base + solved.cost, additions };
  }
}
