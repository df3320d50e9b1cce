// How long the bundled command line takes from its start to its exit where it has a time limit. Printed by list
// and verb, beside the time the answer itself says its search took. Times are of the processor, by which the
// limit is counted too; CLOCK=wall reads the wall on a quiet machine. LISTS picks lists by
// parts of their names.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { bench, describe, inject } from 'vitest';
import { ROOT } from '../cli/run.ts';
import { isWanted, LISTS, saveOf, swapOf } from './waiting.ts';

const VERBS = [
  ['design', 1],
  ['design', 10, '--why'],
  ['design', 1, '--hold', '70'],
  ['design', 1, '--alternatives', '5'],
  ['design', 1, '--tradeoff', 'chance'],
  ['swap', 1],
  ['save', 1],
] as const;

const folder = mkdtempSync(join(dirname(inject('cli')), 'limits-'));
const BY_WALL = process.env.CLOCK === 'wall';

/** Loaded first: counts time by the processor used since the start, and tells all of it at the end. */
const CLOCK = join(folder, 'clock.mjs');
writeFileSync(
  CLOCK,
  `performance.now = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};
process.on('exit', () => process.stderr.write(String(performance.now())));
`,
);

let files = 0;

function report(list: string, [verb, seconds, ...options]: (typeof VERBS)[number]): void {
  const brief = LISTS[list]!();
  const document = { design: () => brief, swap: () => swapOf(brief), save: () => saveOf(brief) };
  const file = join(folder, `${(files += 1)}.json`);
  writeFileSync(file, JSON.stringify(document[verb]()));
  const limit = ['--json', '--time-limit', `${seconds}`, ...options];
  const start = performance.now();
  const clock = BY_WALL ? [] : ['--import', CLOCK];
  const args = [...clock, inject('cli'), verb, file, ...limit];
  const { status, stdout, stderr } = spawnSync(process.execPath, args, {
    cwd: ROOT,
    encoding: 'utf8',
    maxBuffer: 1e9,
  });
  if (status !== 0) throw new Error(stderr);
  const all = BY_WALL ? performance.now() - start : Number(stderr);
  const { milliseconds } = JSON.parse(stdout) as { readonly milliseconds?: number };
  const searched = milliseconds === undefined ? '' : `, ${milliseconds.toFixed(0)} searching`;
  const beyond = (all - seconds * 1000).toFixed(0);
  const asked = [verb, ...limit.slice(1)].join(' ');
  console.log(`${list}, ${asked}: ${all.toFixed(0)} ms${searched}, ${beyond} beyond the limit`);
}

const ONCE = { iterations: 1, time: 0, warmupIterations: 0, warmupTime: 0 };

describe.each(Object.keys(LISTS).filter((list) => isWanted(list, process.env.LISTS)))(
  'command line, %s',
  (list) => {
    let done = false;
    const all = () => {
      if (!done) for (const verb of VERBS) report(list, verb);
      done = true;
    };
    bench(list, all, ONCE);
  },
);
