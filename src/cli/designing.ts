// A brief in a text designed to the end: what the verbs that begin with a design have in common.
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readBrief } from '#shared/reading/read.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { answering } from '#optimize/questions/answering.ts';
import type { DesignOptions } from '#optimize/questions/options.ts';
import { progressText } from './progress.ts';
import { searched, withStock, type SearchRequest } from './searching.ts';

/** The brief with the lots of the stock list, and its answer. Fails with every problem of the document. */
export function designed(
  text: string,
  request: SearchRequest<DesignOptions>,
): Outcome<{ readonly brief: Brief; readonly answer: DesignAnswer }> {
  const read = readBrief(text);
  if (!read.ok) return read;
  const brief = withStock(read.value, request.stock);
  const outcome = searched(
    request,
    (options) => answering(request.base, brief, options),
    (progress) => progressText(progress, brief),
  );
  return outcome.ok ? success({ brief, answer: outcome.value }) : outcome;
}
