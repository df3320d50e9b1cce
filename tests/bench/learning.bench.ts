// What learning brings to seeded invented brewers (invented-brewer.ts), each with a hidden true model, two tasters and
// a noise of a point: after 2 and after 6 batches the error of new beers against no learning and against the best
// learner there can be (exact-learning.ts, of EXACT brewers), how often 80 % intervals hold and designs meet their
// wishes in the hidden truth, and the time of a lesson. BREWERS and WISHES shorten a run. SHOWN, a folder, keeps each
// brewer in a file, so that a run of MINUTES can be taken up again, also by several processes, and prints all there is.
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { mean, median, quantile } from 'simple-statistics';
import { bench, describe } from 'vitest';
import { fitted } from '#engine/learning/fit.ts';
import { learn } from '#engine/learning/learn.ts';
import { model } from '#engine/tables/model.ts';
import {
  NEW_BEERS,
  shownBy,
  strongestOf,
  twelveOf,
  WISH_HALF,
  type BeersShown,
  type BrewerShown,
} from './invented-brewer.ts';

const BREWERS = Number(process.env.BREWERS ?? 200);
/** Brewers of whom the best learner is asked. */
const EXACT = Number(process.env.EXACT ?? 20);
/** Brewers of whom a design is asked. */
const WISHES = Number(process.env.WISHES ?? BREWERS);
const SHOWN = process.env.SHOWN;
const MINUTES = Number(process.env.MINUTES ?? Infinity);
/** Half widths of wishes at whose middle a beer is aimed: by none of them does learning double those met. */
const AIMS = [0.1, 0.15, 0.2, 0.3, 0.5, WISH_HALF];
/** A miss below this nobody should notice, points. */
const UNNOTICED = 0.15;
/** A note that stands out, points. */
const PLAIN = 1;
const NAMED = { version: 1, made: '2026-01-01T00:00:00Z' };

const processorMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

const tenth = (list: number[]) => quantile(list, 0.9);

/**
 * Errors of all brewers by way, each against the published model on the same brewers.
 * @param counts whether a note of such a strength is looked at.
 */
function printErrors(all: readonly BeersShown[], counts: (truth: number) => boolean): void {
  for (const way of waysOf(all)) {
    const own = all.filter(({ off }) => off[way]);
    const byBrewer = (of: string) =>
      own.map(({ truths, off }) =>
        off[of]!.flatMap((errors, i) => errors.filter((_, a) => counts(truths[i]![a]!))),
      );
    const [now, before] = [byBrewer(way), byBrewer('published')];
    const change = (of: (list: number[]) => number, a: number[], b: number[]) =>
      `${of(a).toFixed(3)} (${((of(a) / of(b) - 1) * 100).toFixed(1)} %)`;
    const each = (lists: number[][]) =>
      lists.flatMap((list) => (list.length > 0 ? [mean(list)] : []));
    console.log(
      `  ${way.padEnd(24)} median ${change(median, now.flat(), before.flat())}, ` +
        `mean ${change(mean, now.flat(), before.flat())}, ` +
        `worst tenth of errors ${change(tenth, now.flat(), before.flat())}, ` +
        `of brewers ${change(tenth, each(now), each(before))}`,
    );
  }
}

const waysOf = (all: readonly BeersShown[]) => new Set(all.flatMap(({ off }) => Object.keys(off)));

/** By way, how many beers aimed at the middle of a wish meet it: the largest error of their strongest notes. */
function printAims(all: readonly BeersShown[]): void {
  for (const way of waysOf(all)) {
    const worst = all.flatMap(({ truths, off }) =>
      (off[way] ?? []).map((errors, i) =>
        Math.max(...strongestOf(truths[i]!).map((a) => errors[a]!)),
      ),
    );
    const met = AIMS.map((half) => {
      const share = worst.filter((size) => size <= half).length / worst.length;
      return `${(100 * share).toFixed(0)} % within ${half}`;
    });
    console.log(`beers aimed at the middle of a wish, ${way}: ${met.join(', ')}`);
  }
}

function print(all: readonly BrewerShown[]): void {
  const fresh = all.map((shown) => shown.fresh);
  console.log(`${all.length} brewers; ${NEW_BEERS} new beers each, all notes:`);
  printErrors(fresh, () => true);
  console.log(`the same, notes of ${PLAIN} point and more:`);
  printErrors(fresh, (truth) => truth >= PLAIN);
  for (const after of Object.keys(all[0]!.again)) {
    console.log(`the beers that were tasted, brewed again of the same lots, ${after}:`);
    printErrors(
      all.map(({ again }) => again[after]!),
      () => true,
    );
  }
  printAims(fresh);
  const sum = (of: (shown: BrewerShown) => number) => all.reduce((s, shown) => s + of(shown), 0);
  const learned = sum((shown) => shown.learned);
  const share = (100 * sum(({ inside }) => inside)) / learned;
  console.log(`80 % intervals hold in ${share.toFixed(1)} % of ${learned}`);
  for (const way of new Set(all.flatMap(({ missed }) => Object.keys(missed)))) {
    const misses = all.flatMap(({ missed }) => (way in missed ? [missed[way]!] : []));
    const within = (most: number) => misses.filter((miss) => miss !== null && miss <= most).length;
    console.log(
      `designs that meet their wishes, ${way}: ${within(0)} of ${misses.length}, ` +
        `missed by ${UNNOTICED} at most: ${within(UNNOTICED)}`,
    );
  }
}

/** Whether nobody was at it before. Its file stays empty while a process is at it, or where one was ended. */
function taken(file: string): boolean {
  if (existsSync(file)) return false;
  writeFileSync(file, '');
  return true;
}

function simulate(): void {
  const until = performance.now() + MINUTES * 60_000;
  const made: BrewerShown[] = [];
  if (SHOWN) mkdirSync(SHOWN, { recursive: true });
  for (let seed = 1; seed <= BREWERS && performance.now() < until; seed += 1) {
    const file = SHOWN && join(SHOWN, `${seed}.json`);
    if (file && !taken(file)) continue;
    const shown = shownBy(seed, seed <= EXACT, seed <= WISHES);
    if (file) writeFileSync(file, JSON.stringify(shown));
    else made.push(shown);
  }
  for (const name of SHOWN ? readdirSync(SHOWN) : []) {
    const text = readFileSync(join(SHOWN!, name), 'utf8');
    if (text) made.push(JSON.parse(text) as BrewerShown);
  }
  print(made.sort((a, b) => a.seed - b.seed));
}

function lessonOfTwelve(): void {
  const batches = twelveOf(7);
  const taken = (work: () => unknown) =>
    median(
      Array.from({ length: 7 }, () => {
        const start = processorMs();
        work();
        return processorMs() - start;
      }),
    ).toFixed(0);
  const lesson = taken(() => learn(model, batches, NAMED));
  const fit = taken(() => fitted(model, batches));
  console.log(`a lesson of 12 batches: median ${lesson} ms of the processor, its fit ${fit}`);
}

/** Run here: within a bench a fault would be swallowed, and the work repeated. */
simulate();
lessonOfTwelve();
describe('learning', () => {
  bench('a lesson of 12 batches', () => void learn(model, twelveOf(7), NAMED), {
    iterations: 3,
    time: 0,
  });
});
