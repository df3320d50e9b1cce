// The verb season: which lots go into which of the next batches, and what to buy by when.
import { leftoverWords } from '#shared/answers/leftover-words.ts';
import type { SeasonAnswer } from '#shared/answers/season.ts';
import { withProvenance } from '#shared/evidence/provenance.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readSeason } from '#shared/reading/read.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import { FORM_NAMES } from '#shared/words.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import { planning, type PlanningOptions } from '#optimize/season/planning.ts';
import { amount } from '#cli/print/design.ts';
import { page } from '#cli/print/prediction.ts';
import { figure, table, wrapped } from '#cli/print/table.ts';
import type { Answered } from './predict.ts';
import { searched, withStock, type SearchRequest } from './searching.ts';

const grams = (value: number) => `${Number(value.toFixed(1))}`;

function statusLines(answer: SeasonAnswer, { minimise, batches }: Season): string[] {
  const { status, objective, lower_bound, gap, milliseconds, clash } = answer;
  const isPacked = minimise === 'cost' && answer.buy.some((buy) => buy.packages !== undefined);
  const worth = isPacked ? leftoverWords(batches[0]!.brief.batch) : '';
  const all = `${amount(objective, minimise)}${worth}`;
  const statement = {
    optimal: `Proven best: all batches together take ${all}`,
    within_gap: `Not proven best: all batches together take ${all}, at least ${amount(lower_bound, minimise)}; at most ${figure(gap * 100)} % could be saved`,
    closest: clash
      ? 'No plan meets every brief. This one has the fewest grams missing of those found'
      : 'Not every brief is met',
  }[status];
  return wrapped(`${statement} (${figure(milliseconds / 1000)} s).`, '');
}

function clashLines({ clash, lacking, batches }: SeasonAnswer, lots: readonly Candidate[]) {
  const short = lacking.map(
    ({ candidate, grams: lack }) => `  ${grams(lack)} g of ${lots[candidate]!.hop} are missing`,
  );
  if (!clash) return short;
  const names = clash.batches.map((b) => batches[b]!.name || batches[b]!.brew_on);
  const hops = clash.candidates.map((i) => `${lots[i]!.hop} (${lots[i]!.grams_on_hand ?? 0} g)`);
  const which = clash.smallest ? 'None of them could be left out' : 'Fewer of them may clash';
  return [
    ...wrapped(`Not together: ${names.join(', ')} with ${hops.join(', ')}. ${which}.`, ''),
    ...short,
    ...wrapped('Buy what is missing, brew one of them with other hops, or lower its wishes.', ''),
  ];
}

function batchLines({ batches, lots }: SeasonAnswer, candidates: readonly Candidate[]): string[] {
  return batches.flatMap(({ name, brew_on, additions, hop_g, ibu, misses, hold }, b) => [
    ...(b > 0 ? [''] : []),
    `${brew_on}  ${name || `batch ${b + 1}`}: ${grams(hop_g)} g, ${figure(ibu)} IBU`,
    ...table(
      additions.map(({ hop, form, stage, grams: g }) => [
        `  ${spokenStage(stage)}`,
        hop,
        FORM_NAMES[form],
        `${grams(g)} g`,
      ]),
      ['left', 'left', 'left', 'right'],
    ),
    ...misses.map(({ wish, got }) => `  misses ${wish}: ${figure(got)}`),
    ...(hold
      ? [`  holds in ${figure(hold.share * 100)} % of lots, asked ${figure(hold.wanted * 100)} %`]
      : []),
    `  from: ${lots
      .filter(({ batch }) => batch === b)
      .map(({ candidate, grams: g }) => {
        const { hop, harvest_year: year, grams_on_hand: there } = candidates[candidate]!;
        const of = there === undefined ? 'bought' : (year ?? 'on hand');
        return `${hop} (${of}) ${grams(g)} g`;
      })
      .join(', ')}`,
  ]);
}

function buyLines({ buy }: SeasonAnswer): string[] {
  if (buy.length === 0) return ['Nothing to buy.'];
  return [
    'To buy',
    ...table(
      buy.map(({ by, hop, form, grams: g, packages, cost }) => [
        `  by ${by}`,
        hop,
        FORM_NAMES[form],
        packages === undefined ? `${grams(g)} g` : `${packages} x ${grams(g / packages)} g`,
        cost === null ? 'no price' : `cost ${figure(cost)}`,
      ]),
      ['left', 'left', 'left', 'right', 'right'],
    ),
  ];
}

/** Lots on hand of which something is left when all is brewed. */
function leftLines({ lots }: SeasonAnswer, candidates: readonly Candidate[]): string[] {
  const rows = candidates.flatMap(({ hop, grams_on_hand: there }, i) => {
    if (there === undefined) return [];
    const used = lots.reduce((sum, l) => sum + (l.candidate === i ? l.grams : 0), 0);
    return used > 0 ? [[`  ${hop}`, `${grams(used)} g used`, `${grams(there - used)} g left`]] : [];
  });
  return rows.length === 0 ? [] : ['Stock', ...table(rows, ['left', 'right', 'right'])];
}

/** Plans the season in a text. Fails with every problem of the document. @param today an ISO day. */
export function seasonText(
  text: string,
  request: SearchRequest<PlanningOptions>,
  today: string,
): Outcome<Answered> {
  const read = readSeason(text);
  if (!read.ok) return read;
  const { base, stock } = request;
  const given = withStock(read.value, stock);
  // A stock list is as old as it is today.
  const season = stock ? { ...given, as_of: today } : given;
  const planned = searched(
    request,
    (options) => planning(base, season, options),
    ({ objective, gap }) => {
      const best =
        objective === null ? 'no plan yet' : `best ${amount(objective, season.minimise)}`;
      return `${best}, unproven ${(gap * 100).toFixed(1)} %`;
    },
  );
  if (!planned.ok) return planned;
  const answer = planned.value;
  const lots = season.candidates as readonly Candidate[];
  return success({
    json: withProvenance('season', { name: season.name, ...answer }),
    text: page(
      season.name === '' ? [] : [season.name],
      statusLines(answer, season),
      answer.notes.flatMap((note) => wrapped(note)),
      clashLines(answer, lots),
      batchLines(answer, lots),
      buyLines(answer),
      leftLines(answer, lots),
    ),
  });
}
