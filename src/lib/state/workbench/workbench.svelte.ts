// The open design at work: its brief, a drag in progress included, and the newest answer to it. What is
// kept, and every step back, is the workspace's; a brief that the schema refuses never gets there, and
// the last good blend stays. The search is handed in, so that this runs without a worker or a screen.
import type { Blend, DesignAnswer, PointBlend } from '#shared/answers/answer.ts';
import type { Problem } from '#shared/outcome.ts';
import { sameKnowledge, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import type { DesignProgress } from '#optimize/questions/options.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed } from '#optimize/worker/protocol.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import { ownOf, withGrams, type OwnAdditions } from '#state/documents/by-hand.ts';
import { DoseDrag } from './dose-drag.svelte.ts';
import { Inquiries } from './inquiries.svelte.ts';
import { OwnBlend } from './own-blend.svelte.ts';
import { reachRestsOn, sameButForLots, sameQuestion } from './same-question.ts';
import type { Searcher, Trouble } from './searcher.ts';
import type { StandIn } from './stand-in.ts';
import { withoutHops, type Offering } from '#state/stock/out-of-stock.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

export class Workbench {
  readonly #workspace: Workspace;
  #draft = $state.raw<Brief | null>(null);
  #designed = $state.raw<Designed>()!;
  #standIn = $state.raw<StandIn | null>(null);
  /** The brief the shown blend answers. */
  #answered = $state.raw<Brief>()!;
  /** The design it was designed for. */
  #answeredId = $state('');
  #searching = $state(false);
  #progress = $state.raw<DesignProgress | null>(null);
  #trouble = $state.raw<Trouble | null>(null);
  #live = $state.raw<LiveBlend | null>(null);

  #asked: Brief;
  #askedId: string;
  /** The brief of the open design as this knows it. */
  #open: Brief;
  #stopping = false;
  /** Whether a hand is where wishes are dragged. */
  #isNear = false;
  /** What the range of the axes that was last asked for rests on. */
  #reachOf = '';
  #searcher: Searcher | null = null;
  readonly #table: readonly string[];
  /** What was brought to the model when something was asked last. */
  #taught: OwnKnowledge;
  /** Hops that were out of stock when the open design was last searched. */
  #without: readonly string[] = [];

  /**
   * @param designed the answer to the brief of `answered`, made before.
   * @param table names of the hops of the table.
   */
  constructor(
    workspace: Workspace,
    designed: Designed,
    answered: SavedDesign = workspace.open,
    table: readonly string[] = [],
  ) {
    this.#workspace = workspace;
    this.#table = table;
    this.#designed = designed;
    this.#answered = this.#asked = answered.brief;
    this.#answeredId = this.#askedId = answered.id;
    this.#open = workspace.open.brief;
    this.own = new OwnBlend(workspace, this.inquiries);
    this.dose = new DoseDrag(this.inquiries.along, () => this.getReady());
    this.#taught = workspace.knowledge;
    this.inquiries.teach(this.#taught);
    workspace.follow(() => {
      const taught = this.#teach();
      const { brief } = workspace.open;
      const edited = this.own.changed;
      if (edited) this.#standIn = null;
      if (taught) this.#settle();
      else if (brief !== this.#open) {
        if (sameQuestion(brief, this.#open)) this.#adopt(brief);
        else this.#settle();
      } else if (this.#without.some((hop) => !workspace.isGone(hop))) {
        // A hop that came back may make a better blend; of one that is gone the blend stays in sight.
        this.#settle();
      }
      if (this.own.changed) this.#foresee();
    });
  }

  /** The brief as the screen shows it, a drag in progress included. */
  readonly brief: Brief = $derived.by(() => this.#draft ?? this.#workspace.open.brief);
  /** The best blend found for the brief. */
  readonly designedBlend: Blend | null = $derived(this.#designed.answer.blends[0] ?? null);
  readonly blend: Blend | null = $derived.by(
    () => (this.#standIn ?? this.own).blend ?? this.designedBlend,
  );
  /** What is on the screen: while a hand moves a wish or a dose, the blend that follows it. */
  readonly shown: PointBlend | null = $derived.by(
    () => this.live ?? this.dose.point ?? (this.#standIn ? null : this.own.point) ?? this.blend,
  );
  readonly evidence: Evidence | null = $derived.by(
    () => (this.#standIn ?? this.own).evidence ?? this.#designed.evidence[0] ?? null,
  );
  /** What can be asked about it. */
  readonly inquiries = new Inquiries((asked) => this.#inStock(asked));
  /** The blend made by hand: shown until it is given up, whatever the search finds meanwhile. */
  readonly own: OwnBlend;
  /** A dose under somebody's hand. */
  readonly dose: DoseDrag;

  get answer(): DesignAnswer {
    return this.#designed.answer;
  }
  get answeredBrief(): Brief {
    return this.#answered;
  }
  get standIn(): StandIn | null {
    return this.#standIn;
  }
  /** Whether the blend made by hand is the one to show. */
  get byHand(): boolean {
    return !this.#standIn && this.own.additions !== null;
  }
  /** The brief the shown blend is for. */
  get shownBrief(): Brief {
    return this.byHand ? this.brief : this.#answered;
  }
  /** Whether the shown blend is known with its doubt and is that of the brief as it stands. */
  get settled(): boolean {
    if (this.moving) return false;
    if (this.byHand) return this.own.settled;
    return !this.#searching && this.#answered === this.#workspace.open.brief;
  }
  /** The blend of free doses for dragged wishes; `null` when none are. */
  get live(): LiveBlend | null {
    return this.own.additions ? null : this.#live;
  }
  /** The same beside the blend made by hand, which stays the one shown. */
  get liveBeside(): LiveBlend | null {
    return this.own.additions ? this.#live : null;
  }
  /** Whether the blend is still that of a design that was open before. */
  get foreign(): boolean {
    if (this.#standIn || (this.own.additions && this.own.blend)) return false;
    return this.#answeredId !== this.#workspace.open.id;
  }
  get dragging(): boolean {
    return this.#draft !== null;
  }
  /** Whether a hand holds a wish or a dose. */
  get moving(): boolean {
    return this.dragging || this.dose.held !== null;
  }
  get searching(): boolean {
    return this.#searching;
  }
  get progress(): DesignProgress | null {
    return this.#progress;
  }
  get trouble(): Trouble | null {
    return this.#trouble;
  }

  /** Who searches, or nobody for a while; what is not answered yet is asked at once. */
  useSearcher(searcher: Searcher | null): void {
    this.#searcher = searcher;
    if (!searcher) {
      this.inquiries.rest();
      if (this.inquiries.reach.working) {
        this.inquiries.reach.clear();
        this.#reachOf = '';
      }
    } else {
      searcher.teach(this.#taught);
      if (this.#searching || this.#open !== this.#answered) this.#search(this.#open);
      this.#foresee();
      this.#askReach();
    }
  }
  /** A hand comes to where wishes are dragged, or it leaves. */
  near(isNear: boolean): void {
    this.#isNear = isNear;
    if (isNear) this.getReady();
  }

  /** Has the searcher get ready for wishes to be dragged, where it has nothing else to do; beside a moved dose slowly. */
  getReady(): void {
    if (this.dragging || this.#searching || !this.#searcher) return;
    this.#searcher.ready(this.#inStock(this.brief), this.#hops(), this.dose.held !== null);
  }

  /**
   * Takes an edit in as one step, or as part of the step of the same gesture.
   * @returns what the schema finds wrong with the brief after the edit; then nothing has changed.
   */
  edit(
    name: string,
    change: (brief: Brief) => Brief,
    gesture: string | null = null,
  ): string | null {
    return this.#workspace.editBrief(name, change, gesture);
  }

  /** Shows a change that is not decided yet, and the blend of free doses for it. */
  preview(change: (brief: Brief) => Brief): void {
    if (!this.#draft) this.inquiries.rest();
    this.#draft = change(this.#workspace.open.brief);
    this.#ended(null, false);
    this.#searcher?.live(this.#inStock(this.#draft), this.#hops());
    if (this.own.additions) this.#foresee();
  }

  /** Gives up a change that was only shown. */
  cancelPreview(): void {
    if (!this.#draft) return;
    this.#live = null;
    this.#settle();
  }

  /**
   * Takes an edit of the additions in as one step; the blend shown becomes the person's own.
   * @returns what the schema finds wrong after the edit; then nothing has changed.
   */
  editOwn(
    name: string,
    change: (own: OwnAdditions) => OwnAdditions,
    gesture: string | null = null,
  ): string | null {
    return this.#workspace.editOwn(name, change(this.rows), gesture);
  }

  /** Gets ready for the dose of a row to be dragged, up to so many grams. */
  readyDose(at: number, most: number, step: number): void {
    this.dose.ready(this.brief, this.rows, at, most, step);
  }

  /** Takes a dragged dose in as one step; the blend shown becomes the person's own. */
  dropDose(name: string): void {
    const { held, point } = this.dose;
    this.dose.leave();
    if (!held) return;
    this.editOwn(name, (own) => withGrams(own, held.at, held.grams));
    // What was shown stays until the engine has said it with its doubt.
    if (point) this.own.expect(point);
  }

  /** The shown blend as rows to edit. */
  get rows(): OwnAdditions {
    if (this.byHand) return this.own.additions!;
    return ownOf(this.blend?.additions ?? [], this.#answered);
  }

  /** Goes back from what is shown in its place to the designed blend. */
  back(): void {
    if (this.#standIn) this.#standIn = null;
    else this.#workspace.editOwn('back to the proven blend', null);
  }

  /** Designs the rest anew around the locked additions. */
  replan(): void {
    this.own.replan(this.#workspace.open.brief);
  }

  /** Shows another blend; the designed one comes back by `null`, or with the next answer. */
  show(standIn: StandIn | null): void {
    this.#standIn = standIn;
  }

  /** Asks what it takes to hold in more lots. */
  askChances(): void {
    this.inquiries.chances.ask(this.#inStock(this.#open));
  }

  /** Ends the search with the best blend so far; where there is none yet, the last one stays. */
  stop(): void {
    this.#stopping = true;
    this.#searcher?.stop();
  }

  /** Asks again, after a failure. */
  retry(): void {
    this.#search(this.#workspace.open.brief);
  }

  heardLive(blend: LiveBlend): void {
    if (this.#draft) this.#live = blend;
  }

  heardProgress(progress: DesignProgress): void {
    this.#progress = progress;
  }

  heardAnswer(designed: Designed): void {
    const { status, blends } = designed.answer;
    if (this.#stopping && status === 'closest' && blends[0]?.additions.length === 0) {
      this.#ended({ kind: 'stopped' });
      return;
    }
    this.#designed = designed;
    this.#standIn = null;
    this.inquiries.clear(this.own.additions === null);
    this.#answered = this.#asked;
    this.#answeredId = this.#askedId;
    this.#workspace.keepBlend(this.#asked, blends[0]?.additions ?? []);
    this.#ended(null);
    if (this.#isNear) this.getReady();
  }

  heardRefusal(problems: readonly Problem[]): void {
    this.#ended({ kind: 'refused', problems });
  }

  heardFailure(reason: string): void {
    this.#ended({ kind: 'failed', reason });
  }

  /** Names of the hops of the blend last designed. */
  #hops(): readonly string[] {
    return [...new Set(this.designedBlend?.additions.map((a) => a.hop))];
  }

  /** What is asked, with nothing that is out of stock. */
  #inStock<T extends Offering>(asked: T): T {
    return withoutHops(asked, this.#workspace.gone, this.#table);
  }

  /** Passes on what is brought to the model, or taken back; whether anything was. */
  #teach(): boolean {
    const { knowledge } = this.#workspace;
    if (sameKnowledge(knowledge, this.#taught)) return false;
    this.#taught = knowledge;
    this.#reachOf = '';
    this.#standIn = null;
    this.#searcher?.teach(knowledge);
    this.inquiries.teach(knowledge);
    return true;
  }

  #ended(trouble: Trouble | null, live = true): void {
    if (live) this.#live = null;
    this.#searching = false;
    this.#progress = null;
    this.#trouble = trouble;
  }

  /** The same brief under another name, in a copy or from another tab: what was asked of it stands. */
  #adopt(brief: Brief): void {
    const { id } = this.#workspace.open;
    if (this.#asked === this.#open) [this.#asked, this.#askedId] = [brief, id];
    if (this.#answered === this.#open) [this.#answered, this.#answeredId] = [brief, id];
    this.#open = brief;
  }

  #settle(): void {
    if (!this.#draft) this.#live = null;
    this.#draft = null;
    this.#open = this.#workspace.open.brief;
    const { chances } = this.inquiries;
    if (this.#askedId !== this.#workspace.open.id) this.inquiries.clear();
    if (chances.question && !sameButForLots(chances.question, this.#inStock(this.#open))) {
      chances.clear();
    }
    this.#search(this.#open);
    this.#foresee();
    this.#askReach();
  }

  /** Asks anew for the range of the axes only where something changed that it rests on. */
  #askReach(): void {
    const reachOf = reachRestsOn(this.#inStock(this.#open));
    if (!this.#searcher || reachOf === this.#reachOf) return;
    this.#reachOf = reachOf;
    this.inquiries.reach.ask(this.#open);
  }

  /** Only while somebody is there to answer. */
  #foresee(): void {
    if (this.#searcher) this.own.foresee(this.brief);
  }

  #search(brief: Brief): void {
    this.inquiries.rest();
    this.#asked = brief;
    this.#askedId = this.#workspace.open.id;
    this.#searching = true;
    this.#stopping = false;
    this.#progress = null;
    this.#without = this.#workspace.gone;
    this.#searcher?.design(this.#inStock(brief));
  }
}
