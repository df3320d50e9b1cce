// A dose under somebody's hand. When it is taken, the blend is predicted along all doses it can be
// dragged to; from then on every move is answered here, in the frame it is drawn in.
import type { PointBlend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { additionsOf, keptOf, type OwnAdditions } from '#state/documents/by-hand.ts';
import { dosesAlong, pointAt } from './dose-curve.ts';
import type { Inquiry } from './inquiry.svelte.ts';

interface Held {
  /** Place of the row. */
  readonly at: number;
  readonly grams: number;
}

/** What the doses that are ready are of. */
interface Ready {
  readonly brief: Brief;
  readonly rows: OwnAdditions;
  readonly at: number;
  readonly doses: readonly number[];
}

export class DoseDrag {
  readonly #along: Inquiry<'along'>;
  #ready = $state.raw<Ready | null>(null);
  #held = $state.raw<Held | null>(null);

  constructor(along: Inquiry<'along'>) {
    this.#along = along;
  }

  get held(): Held | null {
    return this.#held;
  }

  /** The blend at the dose held; `null` until it is known. */
  readonly point: PointBlend | null = $derived.by(() => {
    const [held, ready, points] = [this.#held, this.#ready, this.#along.finding];
    if (!held || !ready || !points || held.at !== ready.at) return null;
    return pointAt(ready.doses, points, held.grams);
  });

  /** Has the blend predicted along the doses of a row, up to so many grams, unless it is already. */
  ready(brief: Brief, rows: OwnAdditions, at: number, most: number, step: number): void {
    const now = this.#ready;
    const same =
      now?.at === at && now.brief === brief && JSON.stringify(now.rows) === JSON.stringify(rows);
    if (same && (this.#along.working || this.#along.finding)) return;
    const doses = dosesAlong(most, step);
    this.#ready = { brief, rows, at, doses };
    const kept = { ...brief, keep: keptOf(rows) };
    this.#along.ask({ brief: kept, additions: additionsOf(rows), at, doses });
  }

  /** Shows a dose that is not decided yet. */
  move(at: number, grams: number): void {
    this.#held = { at, grams };
  }

  /** Gives the dose back; what it comes to is for others to say. */
  leave(): void {
    this.#held = null;
  }
}
