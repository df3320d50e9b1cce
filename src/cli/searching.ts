// What the verbs that search have in common: how they are asked, run to the end, and how a blend of
// their answer becomes part of the JSON document.
import type { Blend } from '#shared/answers/answer.ts';
import { cautionsFor } from '#shared/answers/cautions.ts';
import type { StageKind } from '#shared/stages/kinds.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { Brief, Schedule } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { designFor } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { Timing } from '#optimize/pacing/clock.ts';
import { evidenceOf } from '#engine/evidence/evidence.ts';
import { shownFigures } from '#cli/print/known.ts';
import { withCells, type PlacedBlend } from './cells.ts';
import type { BlendShown } from '#cli/print/design.ts';
import type { TimeLimit } from './time-limit.ts';
import { thresholdsShown } from '#cli/print/thresholds.ts';

/** What every searching verb is asked with. */
export interface SearchRequest<Options> {
  /** The model everything is asked of. */
  readonly base: Model;
  /** Lots that take the place of the document's candidates. */
  readonly stock?: readonly Candidate[];
  readonly options: Options;
  readonly limit?: TimeLimit;
  /** Says on the way how far the search is. */
  readonly tell: (milliseconds: number, text: string) => void;
}

/** The document with the lots of the stock list as its candidates, where one is given. */
export function withStock<Document extends object>(
  document: Document,
  stock: readonly Candidate[] | undefined,
): Document {
  return stock ? { ...document, candidates: [...stock] } : document;
}

/**
 * Runs a search in the time that is left for it and tells every snapshot on the way.
 * @param begun begins it.
 * @param words how far it is.
 */
export function searched<
  Options extends Timing,
  Progress extends { readonly milliseconds: number },
  Answer,
>(
  { options, limit, tell }: Pick<SearchRequest<Options>, 'limit' | 'options' | 'tell'>,
  begun: (options: Options) => Generator<Progress, Outcome<Answer>, undefined>,
  words: (progress: Progress) => string,
): Outcome<Answer> {
  const timed = limit ? { ...options, timeLimitMs: limit.left(performance.now()) } : options;
  const search = begun(timed);
  for (;;) {
    const step = search.next();
    if (step.done) return step.value;
    tell(step.value.milliseconds, words(step.value));
  }
}

/** A blend with the design it is in a document's batch and stages. */
export function blendShown<B extends Blend>(
  base: Model,
  document: Pick<Brief, 'name' | 'batch' | 'stages' | 'thresholds' | 'compounds_only'>,
  blend: B,
): BlendShown & { readonly blend: B } {
  const model = modelFor(base, document);
  const design = designFor(model, document, blend.additions);
  if (!design.ok) throw new Error(`the blend cannot be predicted: ${design.problems[0]?.message}`);
  return { blend, design: design.value, shown: shownFigures(model, design.value, blend) };
}

/** The blend as it stands in the JSON document, with what its figures rest on. */
export function blendDocument(base: Model, { blend, shown }: BlendShown) {
  return { ...blend, ...shown, figures_by_status: evidenceOf(base, blend.additions).statuses };
}

/** The blends of a document, where they stand in it. */
export function placed(blends: readonly BlendShown[]): PlacedBlend[] {
  return blends.map(({ blend: { warnings }, design }, i) => ({
    at: `blends.${i}`,
    design,
    warnings,
  }));
}

/** The schedule that a document asks to change, where its figures stand in the answer. */
function originalOf(
  base: Model,
  document: Pick<
    Schedule,
    'name' | 'batch' | 'stages' | 'thresholds' | 'compounds_only' | 'additions'
  >,
): PlacedBlend[] {
  const design = designFor(modelFor(base, document), document, document.additions);
  return design.ok ? [{ at: 'original', design: design.value }] : [];
}

/** The JSON document of a verb that compares blends with a schedule. */
export function comparedDocument<Answer extends { readonly blends: readonly Blend[] }>(
  base: Model,
  verb: 'save' | 'swap',
  document: Schedule,
  answer: Answer,
  blends: readonly BlendShown[],
  kinds: readonly StageKind[],
) {
  const its = modelFor(base, document);
  return withCells(
    verb,
    its,
    {
      name: document.name,
      ...answer,
      blends: blends.map((blend) => blendDocument(base, blend)),
      thresholds: thresholdsShown(its),
      cautions: cautionsFor(kinds),
    },
    [...placed(blends), ...originalOf(base, document)],
  );
}
