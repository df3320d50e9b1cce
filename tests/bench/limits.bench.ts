// What a search makes a person wait: how far over its time limit each question goes, the longest time
// its thread is held without a pause, and how long a stop takes to the closing reply. Asked of long and
// awkward lists, through the same functions as the page's worker and the command line. Times are of the
// processor, so that other programs at work count little; CLOCK=wall reads the wall on a quiet machine.
// LISTS and QUESTIONS pick by parts of names, with | between: all of them take seven minutes.
import { bench, describe } from 'vitest';
import { quantileSorted } from 'simple-statistics';
import {
  asked,
  driven,
  isWanted,
  LIMIT_MS,
  LISTS,
  QUESTIONS,
  type Asked,
  type Way,
} from './waiting.ts';

/** Moments a stop is sent at, ms after the question. */
const STOPS_MS = [5, 40, 100, 230, 480, 900];

const whole = (ms: number) => ms.toFixed(0);

function report(name: string, of: Asked, { limited, asked: ask }: Way): void {
  const parts: string[] = [];
  if (limited) {
    const { all, held, at, outcome } = driven(limited(of));
    const report = `${whole(all)} ms, held ${whole(held)} at ${whole(at)}`;
    parts.push(`limit ${LIMIT_MS}: ${report}${outcome.ok ? '' : ', refused'}`);
  }
  const runs = STOPS_MS.map((ms) => driven(ask(of), ms));
  const stops = runs.flatMap((run) => run.stopped ?? []).sort((a, b) => a - b);
  const { held, at } = runs.reduce((a, b) => (b.held > a.held ? b : a));
  if (stops.length > 0) {
    const figures = [quantileSorted(stops, 0.5), stops.at(-1)!].map(whole);
    parts.push(`stop ${figures.join(', at most ')} (${stops.length})`);
  }
  parts.push(`held ${whole(held)} at ${whole(at)}`);
  console.log(`${name}: ${parts.join('; ')}`);
}

const ONCE = { iterations: 1, time: 0, warmupIterations: 0, warmupTime: 0 };

const wanted = (names: object, parts: string | undefined) =>
  Object.keys(names).filter((name) => isWanted(name, parts));

describe.each(wanted(LISTS, process.env.LISTS))('%s', (list) => {
  let of: Asked | null = null;
  for (const question of wanted(QUESTIONS, process.env.QUESTIONS)) {
    const way = QUESTIONS[question]!;
    const name = `${question}, ${list}`;
    let done = false;
    const once = () => {
      if (!done) report(name, (of ??= asked(LISTS[list]!())), way);
      done = true;
    };
    bench(name, once, ONCE);
  }
});
