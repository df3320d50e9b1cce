// The blend of the open design that a person has made by hand: what the engine predicts for it, and the new
// design of the rest around its locks. The additions themselves, with undo, are kept by the workspace.
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
import type { Inquiries } from './inquiries.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** What is known of the blend made by hand; it stays until a newer prediction arrives. */
interface Foreseen {
  readonly design: string;
  readonly point: PointBlend;
  /** The prediction with bands; that of the edit before until the new one arrives. */
  readonly whole: { readonly blend: Blend; readonly evidence: Evidence } | null;
}

/** What designing the rest again has changed; shown while the blend stays that way. */
interface Replan {
  readonly own: OwnAdditions;
  readonly changes: readonly DoseChange[];
  readonly proof: Proof;
  /** Whether it misses no wish noticeably. */
  readonly unnoticed: boolean;
}

export class OwnBlend {
  readonly #workspace: Workspace;
  readonly #inquiries: Inquiries;
  #foreseen = $state.raw<Foreseen | null>(null);
  #replan = $state.raw<Replan | null>(null);
  /** The additions of the last request. */
  #known: OwnAdditions | null = null;

  constructor(workspace: Workspace, inquiries: Inquiries) {
    this.#workspace = workspace;
    this.#inquiries = inquiries;
  }

  /** The additions made by hand; `null` while the designed blend is shown. */
  readonly additions: OwnAdditions | null = $derived.by(() => this.#workspace.open.own ?? null);
  readonly #current: Foreseen | null = $derived.by(() =>
    this.additions && this.#foreseen?.design === this.#workspace.open.id ? this.#foreseen : null,
  );
  /** The prediction at the defaults, available at once after an edit. */
  readonly point: PointBlend | null = $derived(this.#current?.point ?? null);
  readonly blend: Blend | null = $derived(this.#current?.whole?.blend ?? null);
  readonly evidence: Evidence | null = $derived(this.#current?.whole?.evidence ?? null);
  readonly replanned: Replan | null = $derived.by(() =>
    this.#replan && this.#replan.own === this.additions ? this.#replan : null,
  );

  /** Whether the prediction with bands belongs to the present additions. */
  get settled(): boolean {
    return this.blend !== null && this.#inquiries.predict.finding !== null && !this.changed;
  }
  /** Whether the additions differ from those of the last request. */
  get changed(): boolean {
    return (this.#workspace.open.own ?? null) !== this.#known;
  }

  /** Requests a prediction of the additions for this brief. */
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

  /** Shows a point as that of the present additions until their own prediction arrives. */
  expect(point: PointBlend): void {
    this.#foreseen = {
      design: this.#workspace.open.id,
      point,
      whole: this.#current?.whole ?? null,
    };
  }

  /** Designs the rest again around the locked additions; the result becomes one step of undo. */
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
