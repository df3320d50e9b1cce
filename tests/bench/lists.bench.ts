// How the time of three kinds of questions (a design, a replacement, how far each axis goes) grows with the list
// of lots: 100 to 5,000 lots of one hop, all but alike, and in packages, usual and tight wishes; with it the
// longest time the thread is held and, of a design, the gap left after 5 s. Times are of the processor, so that
// other programs at work count little. QUESTIONS picks by parts of names, with | between.
import { bench, describe } from 'vitest';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { model } from '#engine/tables/model.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { reaching } from '#optimize/live/attainable-range.ts';
import { designing } from '#optimize/questions/design.ts';
import { swapping } from '#optimize/questions/swap.ts';
import {
  lotsAlike,
  lotsInPackages,
  lotsOfOneHop,
  tableInPackages,
} from '../optimize/support/large-lists.ts';
import { driven, isWanted, swapOf, type AnyRun } from './waiting.ts';

const SECONDS = 5;
const ENDLESS = { timeLimitMs: 600_000 };

const QUESTIONS: Readonly<Record<string, (brief: Brief) => AnyRun>> = {
  design: (brief) => designing(model, brief, ENDLESS),
  replacement: (brief) => swapping(model, swapOf(brief), ENDLESS),
  reach: (brief) => reaching(model, brief, ENDLESS),
};

/** A question stopped after so many seconds of the processor. */
function report(name: string, search: AnyRun): void {
  const { all, held, outcome } = driven(search, SECONDS * 1000);
  const { status, gap } = outcome.ok ? (outcome.value as Partial<DesignAnswer>) : {};
  const found = gap === undefined ? '' : `, ${status}, gap ${(100 * gap).toFixed(1)} %`;
  const refused = outcome.ok ? '' : `, ${outcome.problems[0]!.message}`;
  const [whole, longest] = [all, held].map((ms) => ms.toFixed(0));
  console.log(`${name}: ${whole} ms, held ${longest} ms${found}${refused}`);
}

const KINDS: Readonly<Record<string, (lots: number) => Brief>> = {
  'lots of one hop': lotsOfOneHop,
  'lots all but alike': lotsAlike,
  'lots in packages of 100 g': lotsInPackages,
  'lots in packages of 100 g, tight wishes': (lots) => lotsInPackages(lots, 100, 101, true),
};

const TABLES = [25, 100].map(
  (grams) => [`the table in packages of ${grams} g`, tableInPackages(grams)] as const,
);

describe('lists of lots', () => {
  for (const [question, asked] of Object.entries(QUESTIONS)) {
    if (!isWanted(question, process.env.QUESTIONS)) continue;
    report(`${question}, a short list, to warm up`, asked(lotsInPackages(50)));
    for (const [kind, briefOf] of Object.entries(KINDS)) {
      for (const lots of [100, 500, 2000, 5000]) {
        report(`${question}, ${lots} ${kind}`, asked(briefOf(lots)));
      }
    }
    for (const [table, brief] of TABLES) report(`${question}, ${table}`, asked(brief));
  }
  bench('500 lots in packages', () => report('again', QUESTIONS.design!(lotsInPackages(500))), {
    iterations: 1,
  });
});
