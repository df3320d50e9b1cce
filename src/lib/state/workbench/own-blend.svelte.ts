// The blend a person has made by hand of the open design: what the engine says of it, and the design
// of the rest around its locks. The additions themselves are the workspace's, with every step back.
import type { Blend, PointBlend, Proof } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import {
  additionsOf,
  changesBetween,
  keptOf,
  replanned,
  type DoseChange,
  type OwnAdditions,
} from '#state/documents/by-hand.ts';
import type { Inquiries } from './inquiry.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** What is known of the blend made by hand; the last one stays until a newer prediction is there. */
interface Foreseen {
  readonly design: string;
  readonly point: PointBlend;
  /** With bands; the one of an edit before until its own is there. */
  readonly whole: { readonly blend: Blend; readonly evidence: Evidence } | null;
}

/** What designing the rest anew has changed, for as long as the blend stays that way. */
interface Replan {
  readonly own: OwnAdditions;
  readonly changes: readonly DoseChange[];
  readonly proof: Proof;
  /** Whether it misses no wish by more than anybody notices. */
  readonly unnoticed: boolean;
}

export class OwnBlend {
  readonly #workspace: Workspace;
  readonly #inquiries: Inquiries;
  #foreseen = $state.raw<Foreseen | null>(null);
  #replan = $state.raw<Replan | null>(null);
  /** The additions last asked about. */
  #known: OwnAdditions | null = null;

  constructor(workspace: Workspace, inquiries: Inquiries) {
    this.#workspace = workspace;
    this.#inquiries = inquiries;
  }

  /** The additions made by hand; `null` while the designed blend stands. */
  readonly additions: OwnAdditions | null = $derived.by(() => this.#workspace.open.own ?? null);
  readonly #current: Foreseen | null = $derived.by(() =>
    this.additions && this.#foreseen?.design === this.#workspace.open.id ? this.#foreseen : null,
  );
  /** At the defaults, at once after an edit. */
  readonly point: PointBlend | null = $derived(this.#current?.point ?? null);
  readonly blend: Blend | null = $derived(this.#current?.whole?.blend ?? null);
  readonly evidence: Evidence | null = $derived(this.#current?.whole?.evidence ?? null);
  readonly replanned: Replan | null = $derived.by(() =>
    this.#replan && this.#replan.own === this.additions ? this.#replan : null,
  );

  /** Whether what is known with its doubt is of the additions as they stand. */
  get settled(): boolean {
    return this.blend !== null && this.#inquiries.predict.finding !== null && !this.changed;
  }
  /** Whether the additions are others than those last asked about. */
  get changed(): boolean {
    return (this.#workspace.open.own ?? null) !== this.#known;
  }

  /** Has the engine predict the additions for this brief. */
  foresee(brief: Brief): void {
    const { id, own } = this.#workspace.open;
    const { predict, replan } = this.#inquiries;
    this.#known = own ?? null;
    if (replan.working) replan.clear();
    if (!own) {
      predict.clear();
      return;
    }
    const question = { brief: { ...brief, keep: keptOf(own) }, additions: additionsOf(own) };
    predict.ask(question, (stand) => {
      if (stand.state === 'working' && stand.step) {
        this.#foreseen = { design: id, point: stand.step, whole: this.#current?.whole ?? null };
      } else if (stand.state === 'found') {
        const { evidence, ...blend } = stand.finding;
        this.#foreseen = { design: id, point: blend, whole: { blend, evidence } };
      }
    });
  }

  /** Takes a point for that of the additions as they stand, until their own is there. */
  expect(point: PointBlend): void {
    this.#foreseen = {
      design: this.#workspace.open.id,
      point,
      whole: this.#current?.whole ?? null,
    };
  }

  /** Designs the rest anew around the locked additions; one step when it is found. */
  replan(brief: Brief): void {
    const { own } = this.#workspace.open;
    if (!own) return;
    const { replan, pointWorth: point_worth_g_per_l } = this.#inquiries;
    const question = { brief: { ...brief, keep: keptOf(own) }, point_worth_g_per_l };
    replan.ask(question, (stand) => {
      const answer = stand.state === 'found' ? stand.finding.answer : null;
      const unnoticed = stand.state === 'found' && stand.finding.unnoticed;
      const designed = answer?.blends[0]?.additions;
      if (!answer || !designed?.length) return;
      const after = replanned(own, designed);
      const { status, lower_bound, gap } = answer;
      this.#workspace.editOwn('re-plan around your edits', after);
      this.#replan = {
        own: this.#workspace.open.own!,
        changes: changesBetween(own, after),
        proof: { status, lower_bound, gap },
        unnoticed,
      };
    });
  }
}
