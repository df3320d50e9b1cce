// Which packages a blend opens, as sets of lots with repeats, the cheapest first: what a set costs is known
// before anything is dosed, and few cost less than the best blend known. Rows that hold for whole packages
// (package-cuts.ts) rule out most of them by a sum of a few figures.
import type { Effort, Resting } from '#optimize/pacing/clock.ts';
import { buyingIn, packageObjective } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import type { PackageCover } from '#optimize/relaxation/package-cuts.ts';

/** Packages opened together. */
export interface PackageSet {
  /** Lots by number, one for each package. */
  readonly lots: readonly number[];
  /** What they cost at least, as the objective counts: each as if all of it were left over. */
  readonly price: number;
  /** What is in them, g/L. */
  readonly holds: GramsPerLitre;
}

/** A row over packages, for blends up to a load. */
interface PackageRow {
  readonly cover: PackageCover;
  readonly load: GramsPerLitre;
  /** Sets it ruled out. */
  hits: number;
  /** By place in the order of prices: most that one package from there on brings, and brings for its price. */
  readonly mostFrom: Float64Array;
  readonly bestFrom: Float64Array;
}

/** Most sets listed at once; where there are more, only the cheaper half of the range is listed. */
const SETS_MAX = 2000;
/** Rows looked at before a set is filled further: those that rule out most. */
const LOOKED_AHEAD = 6;
/** Effort of looking at a set, beside its rows. */
const LOOK = 100;

export class PackageSets {
  /** Whether what a set costs at least is all that is paid: lots in packages alone, what is left worth nothing. */
  readonly isAllPaid: boolean;
  /** Whether every addition is of a lot in packages. */
  readonly #alone: boolean;
  readonly #problem: BlendProblem;
  readonly #loadMost: GramsPerLitre;
  /** Lots in the order of their prices, and these. */
  readonly #lots: readonly number[];
  readonly #prices: Float64Array;
  readonly #rows: PackageRow[] = [];

  /**
   * @param among columns a blend may have.
   * @param loadMost load of any blend, g/L.
   */
  constructor(problem: BlendProblem, among: Iterable<number>, loadMost: GramsPerLitre) {
    this.#problem = problem;
    this.#loadMost = loadMost;
    const { bought, of } = buyingIn(problem.columns);
    const open = new Set<number>();
    let alone = true;
    for (const j of among) {
      if (of[j]! < 0) alone = false;
      else if (problem.columns[j]!.stage !== null) open.add(of[j]!);
    }
    this.#alone = alone;
    const isWorthless = (b: number) => {
      const { leftOver, columns: own } = bought[b]!;
      return own.every((j) => problem.objective[j]! === problem.objective[leftOver]!);
    };
    this.isAllPaid = alone && [...open].every(isWorthless);
    const priced = [...open].map((b) => ({ b, price: packageObjective(problem, bought[b]!) }));
    priced.sort((x, y) => x.price - y.price);
    this.#lots = priced.map(({ b }) => b);
    this.#prices = Float64Array.from(priced, ({ price }) => price);
  }

  /** Whether every package costs something; else the sets have no end. */
  get isPriced(): boolean {
    return this.#prices.length > 0 && this.#prices[0]! > 0;
  }

  /** Takes a row that holds for every blend up to a load. */
  add(cover: PackageCover, load: GramsPerLitre): void {
    const size = this.#lots.length;
    const mostFrom = new Float64Array(size + 1);
    const bestFrom = new Float64Array(size + 1);
    for (let k = size - 1; k >= 0; k -= 1) {
      const gain = cover.gains[this.#lots[k]!]!;
      mostFrom[k] = Math.max(mostFrom[k + 1]!, gain);
      bestFrom[k] = Math.max(bestFrom[k + 1]!, gain / this.#prices[k]!);
    }
    this.#rows.push({ cover, load, hits: 0, mostFrom, bestFrom });
  }

  /** Whether a row rules a set out, with so much left to pay for lots by the gram. */
  isRuledOut({ lots, holds }: Omit<PackageSet, 'price'>, left: number): boolean {
    const rows = this.#rows;
    for (let r = 0; r < rows.length; r += 1) {
      const row = rows[r]!;
      if (row.load < this.#loadOf(holds)) continue;
      const { gains, loose } = row.cover;
      let brings = loose > 0 ? loose * left : 0;
      for (let k = 0; k < lots.length; k += 1) brings += gains[lots[k]!]!;
      if (brings >= 1) continue;
      row.hits += 1;
      // The rows that rule out most come first.
      if (r > 0 && row.hits > rows[r - 1]!.hits) [rows[r - 1], rows[r]] = [row, rows[r - 1]!];
      return true;
    }
    return false;
  }

  /** Load of blends of a set, at most, g/L. */
  loadOf({ holds }: PackageSet): GramsPerLitre {
    return this.#loadOf(holds);
  }

  #loadOf(holds: GramsPerLitre): GramsPerLitre {
    return this.#alone ? Math.min(holds, this.#loadMost) : this.#loadMost;
  }

  /**
   * Sets that no row rules out and that cost at least `from`, less than `to`, in the order of their prices; and
   * up to where they are all listed, which may be below `to`.
   * @param worth objective from which on a blend is not worth having.
   */
  *between(
    from: number,
    to: number,
    worth: number,
    effort: Effort,
  ): Resting<{ sets: PackageSet[]; listedBelow: number }> {
    const prices = this.#prices;
    const { bought } = buyingIn(this.#problem.columns);
    let sets: PackageSet[] = [];
    let [listedBelow, most] = [to, SETS_MAX];
    const lots: number[] = [];
    const places: number[] = [];
    /** Price and contents of the packages chosen so far, by their number. */
    const paid = [0];
    const held = [0];
    if (from <= 0 && !this.#alone) sets.push({ lots: [], price: 0, holds: 0 });
    for (let next = 0; ;) {
      const before = paid[lots.length]!;
      const price = next < prices.length ? before + prices[next]! : Infinity;
      if (price >= listedBelow) {
        // No further package here: the last one is taken out, and the next in its place.
        if (lots.length === 0) break;
        lots.pop();
        paid.pop();
        held.pop();
        next = places.pop()! + 1;
        continue;
      }
      if (effort.due) {
        yield;
        effort.rested();
      }
      effort.spend(LOOK * (1 + lots.length));
      const b = this.#lots[next]!;
      const holds = held[lots.length]! + bought[b]!.package;
      lots.push(b);
      if (price >= from && !this.isRuledOut({ lots, holds }, worth - price)) {
        effort.spend(LOOK * this.#rows.length);
        sets.push({ lots: [...lots], price, holds });
        if (sets.length > most) {
          sets.sort((x, y) => x.price - y.price);
          const half = sets[sets.length >> 1]!.price;
          if (half > sets[0]!.price) {
            listedBelow = half;
            sets = sets.filter((set) => set.price < listedBelow);
          } else most *= 2;
        }
      }
      if (
        price + prices[next]! < listedBelow &&
        !this.#isHopeless(lots, next, listedBelow - price, worth - price)
      ) {
        places.push(next);
        paid.push(price);
        held.push(holds);
        continue;
      }
      lots.pop();
      // Where one more package is the last, all up to `from` are too cheap; but for rounding.
      next += 1;
      if (next < prices.length && before + 2 * prices[next]! >= listedBelow) {
        next = Math.max(next, firstFrom(prices, (from - before) * (1 - 1e-9)));
      }
    }
    sets.sort((x, y) => x.price - y.price);
    return { sets, listedBelow };
  }

  /** Whether a row rules out every set that begins with these lots and goes on from a place for no more than `left`. */
  #isHopeless(lots: readonly number[], place: number, left: number, unpaid: number): boolean {
    const rows = this.#rows;
    const count = Math.floor(left / this.#prices[place]!);
    for (let r = 0; r < rows.length && r < LOOKED_AHEAD; r += 1) {
      const { cover, load, mostFrom, bestFrom } = rows[r]!;
      if (load < this.#loadMost) continue;
      let brings = cover.loose > 0 ? cover.loose * unpaid : 0;
      for (let k = 0; k < lots.length; k += 1) brings += cover.gains[lots[k]!]!;
      if (brings + Math.min(count * mostFrom[place]!, left * bestFrom[place]!) < 1) return true;
    }
    return false;
  }
}

/** First place of a price of at least so much. */
function firstFrom(prices: Float64Array, least: number): number {
  let [low, high] = [0, prices.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (prices[middle]! < least) low = middle + 1;
    else high = middle;
  }
  return low;
}
