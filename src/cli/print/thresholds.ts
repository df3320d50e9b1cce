// By what an answer judges aroma: whose odour thresholds, for which compounds that school has no figure,
// and whether compounds speak alone.
import { SCHOOL_NAMES } from '#shared/words.ts';
import { withoutOwnThreshold, type Model } from '#engine/tables/model.ts';
import { wrapped } from './table.ts';

/** As it stands in the JSON document. */
export function thresholdsShown(model: Model) {
  const { school, reports } = model;
  return { school, without_figure: withoutOwnThreshold(model), compounds_only: !reports };
}

/** Nothing for the middle: that is the usual. */
export function thresholdLines(model: Model): string[] {
  const alone = model.reports
    ? []
    : ['Compounds alone: what tasters report of the hops is left out.'];
  if (model.school === 'middle') return alone;
  const lacking = withoutOwnThreshold(model).map((c) => model.compounds[c].name);
  const school = wrapped(
    `Odour thresholds: ${SCHOOL_NAMES[model.school]}. No figure of that school, so the middle: ${lacking.join(', ')}.`,
    '',
  );
  return [...school, ...alone];
}
