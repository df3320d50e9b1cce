// A dose that is being dragged. When the drag starts, the blend is predicted along all doses it can reach; from
// then on every move is answered here, within the frame it is drawn in.
import type { PointBlend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { additionsOf, keptOf, type OwnAdditions } from '#state/documents/by-hand.ts';
import { dosesAlong, pointAt } from './dose-curve.ts';
import type { Inquiry } from './inquiry.svelte.ts';

interface Held {
  /** Index of the row. */
  readonly at: number;
  readonly grams: number;
}

/** Identifies what the predicted doses belong to. */
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

  readonly #left: () => void;

  /** @param left called when a hand has let a dose go. */
  constructor(along: Inquiry<'along'>, left: () => void) {
    this.#along = along;
    this.#left = left;
  }

  get held(): Held | null {
    return this.#held;
  }

  /** The blend at the dragged dose; `null` until it is known. */
  readonly point: PointBlend | null = $derived.by(() => {
    const [held, ready, points] = [this.#held, this.#ready, this.#along.finding];
    if (!held || !ready || !points || held.at !== ready.at) return null;
    return pointAt(ready.doses, points, held.grams);
  });

  /** Asks for predictions along the doses of a row, up to `most` grams, unless they are already there. */
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

  /** Shows a dose that the person has not released yet. */
  move(at: number, grams: number): void {
    this.#held = { at, grams };
  }

  /** Ends the drag without changing the blend. */
  leave(): void {
    if (!this.#held) return;
    this.#held = null;
    this.#left();
  }
}
