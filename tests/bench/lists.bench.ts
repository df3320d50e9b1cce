// How the time of a design grows with the list of lots: 100 to 5,000 lots of one hop, all but alike,
// and in packages, usual and tight wishes; with it the longest time the thread is held and the gap
// left after 5 s. Times are of the processor, so that other programs at work count little.
import { bench, describe } from 'vitest';
import { model } from '#engine/tables/model.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { designing } from '#optimize/questions/design.ts';
import {
  lotsAlike,
  lotsInPackages,
  lotsOfOneHop,
  tableInPackages,
} from '../optimize/support/large-lists.ts';

const SECONDS = 5;

function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** A design told to stop after so many seconds of the processor. */
function told(name: string, brief: Brief): void {
  const start = processorMs();
  const search = designing(model, brief, { timeLimitMs: 600_000 });
  let [held, last] = [0, start];
  let step = search.next();
  for (;;) {
    const now = processorMs();
    held = Math.max(held, now - last);
    last = now;
    if (step.done) break;
    step = search.next(now - start > SECONDS * 1000 ? 'stop' : undefined);
  }
  const outcome = step.value;
  const found = outcome.ok
    ? `${outcome.value.status}, gap ${(100 * outcome.value.gap).toFixed(1)} %`
    : outcome.problems[0]!.message;
  const [all, longest] = [last - start, held].map((ms) => ms.toFixed(0));
  console.log(`${name}: ${all} ms, held ${longest} ms, ${found}`);
}

const KINDS: Readonly<Record<string, (lots: number) => Brief>> = {
  'lots of one hop': lotsOfOneHop,
  'lots all but alike': lotsAlike,
  'lots in packages of 100 g': lotsInPackages,
  'lots in packages of 100 g, tight wishes': (lots) => lotsInPackages(lots, 100, 101, true),
};

describe('lists of lots', () => {
  told('a short list, to warm up', lotsInPackages(50));
  for (const [kind, briefOf] of Object.entries(KINDS)) {
    for (const lots of [100, 500, 2000, 5000]) told(`${lots} ${kind}`, briefOf(lots));
  }
  for (const grams of [25, 100]) {
    told(`the table in packages of ${grams} g`, tableInPackages(grams));
  }
  bench('500 lots in packages', () => told('again', lotsInPackages(500)), { iterations: 1 });
});
