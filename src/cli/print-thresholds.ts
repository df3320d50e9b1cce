// Whose odour thresholds an answer holds by, and for which compounds that school has no figure.
import { SCHOOL_NAMES } from '#shared/words.ts';
import { withoutOwnThreshold, type Model } from '#engine/tables/model.ts';
import { wrapped } from './table.ts';

/** As it stands in the JSON document. */
export function thresholdsShown(model: Model) {
  return { school: model.school, without_figure: withoutOwnThreshold(model) };
}

/** Nothing for the middle: that is the usual. */
export function thresholdLines(model: Model): string[] {
  if (model.school === 'middle') return [];
  const lacking = withoutOwnThreshold(model).map((c) => model.compounds[c].name);
  return wrapped(
    `Odour thresholds: ${SCHOOL_NAMES[model.school]}. No figure of that school, so the middle: ${lacking.join(', ')}.`,
    '',
  );
}
