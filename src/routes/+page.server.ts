// Runs once, at build time: designs from the first demo brief, so that the page arrives solved.
import { csvParseRows } from 'd3';
import stockText from '#seeds/stock.csv?raw';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { model } from '#engine/model.ts';
import { design } from '#optimize/design.ts';
import { evidenceOf } from '#optimize/evidence.ts';
import { sentence } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import { stockOf } from '#shared/stock.ts';
import type { PageServerLoad } from './$types';

/** The invented stock, as candidates. */
function demoStock(): Candidate[] {
  const lots = stockOf(csvParseRows(stockText, (cells, i) => ({ line: i + 1, cells })));
  if (!lots.ok) throw new Error(lots.problems.map((p) => sentence('stock.csv', p)).join('\n'));
  return lots.value.map(({ lot }) => lot);
}

export const load: PageServerLoad = () => {
  const demos = SEED_BRIEFS.map((seed) => seed.brief);
  const outcome = design(model, demos[0]!);
  if (!outcome.ok) {
    throw new Error(outcome.problems.map((p) => sentence('tropical.json', p)).join('\n'));
  }
  const answer = outcome.value;
  const evidence = answer.blends.map((blend) => evidenceOf(model, blend.additions));
  const offered = model.hops.filter((hop) => hop.missing.length === 0);
  return {
    demos,
    designed: { answer, evidence },
    stock: demoStock(),
    hops: model.hops.map((hop) => hop.name),
    offered: offered.length,
  };
};
