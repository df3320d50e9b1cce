// What a search makes a person wait: how far over its time limit each question goes, the longest time
// its thread is held without a pause, and how long a stop takes to the closing reply. Asked of long and
// awkward lists, through the same functions as the page's worker and the command line. Times are of the
// processor, so that other programs at work count little. `-t` picks lists and questions by name.
import { bench, describe } from 'vitest';
import { quantileSorted } from 'simple-statistics';
import { asked, driven, LIMIT_MS, LISTS, QUESTIONS, type Asked, type Way } from './waiting.ts';

/** Moments a stop is sent at, ms after the question. */
const STOPS_MS = [5, 40, 100, 230, 480, 900];

const whole = (ms: number) => ms.toFixed(0);

function told(name: string, of: Asked, { limited, asked: ask }: Way): void {
  const parts: string[] = [];
  if (limited) {
    const { all, held, at, ok } = driven(limited(of));
    const told = `${whole(all)} ms, held ${whole(held)} at ${whole(at)}`;
    parts.push(`limit ${LIMIT_MS}: ${told}${ok ? '' : ', refused'}`);
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

describe.each(Object.keys(LISTS))('%s', (list) => {
  let of: Asked | null = null;
  for (const [question, way] of Object.entries(QUESTIONS)) {
    const name = `${question}, ${list}`;
    let done = false;
    const once = () => {
      if (!done) told(name, (of ??= asked(LISTS[list]!())), way);
      done = true;
    };
    bench(name, once, ONCE);
  }
});
