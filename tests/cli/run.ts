// Runs the command line as its process does, with streams of the test's own: a process would read the
// tables anew each time. That the process is the same is for design.test.ts and predict.test.ts to show.
import { spawnSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { inject } from 'vitest';
import { runCommandLine } from '../../src/cli/command-line.ts';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export interface Run {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs it with arguments; `input` is what stands on standard input. */
export async function cli(args: readonly string[], input: string | Buffer = ''): Promise<Run> {
  const written = { out: '', err: '' };
  const into = (stream: keyof typeof written) => ({
    isTTY: false,
    write: (text: string | Uint8Array) => {
      written[stream] += text.toString();
      return true;
    },
  });
  const descriptor = openSync(fileWith(input, 'input'), 'r');
  try {
    const streams = { input: descriptor, out: into('out'), err: into('err') };
    return { code: await runCommandLine(args, streams), ...written };
  } finally {
    closeSync(descriptor);
  }
}

/** The same in a process of its own, as it is bundled. */
export function cliProcess(args: readonly string[], input: string | Buffer = ''): Run {
  const { status, stdout, stderr } = spawnSync(process.execPath, [inject('cli'), ...args], {
    cwd: ROOT,
    input,
    encoding: 'utf8',
    maxBuffer: 1e8,
  });
  return { code: status, out: stdout, err: stderr };
}

/** A file of its own with this text, beside the bundle, which goes when the tests end; gives its path. */
export function fileWith(text: string | Buffer, name = 'document.json'): string {
  const path = join(mkdtempSync(join(dirname(inject('cli')), 'file-')), name);
  writeFileSync(path, text);
  return path;
}

/** A schedule that can be predicted, as a document to change. */
export const SCHEDULE = {
  name: 'Two dry hops',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 180 },
  stages: { dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false } },
  additions: [
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 60, price_per_kg: 40 },
    { hop: 'Cascade', form: 'pellet_90', stage: 'dry_hop', grams: 40, price_per_kg: 20 },
  ],
};

/** A small brief: two lots, so that it is solved at once. */
export const BRIEF = {
  name: 'Two lots',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 180 },
  stages: {
    hot_steep: { temp_c: 80, minutes: 20, closed: false },
    dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false },
  },
  target: { citrus: { at_least: 2 }, floral: { at_least: 2 } },
  limits: { ibu_at_most: 40, hops_at_most: 2, weigh_step_g: 1, smallest_addition_g: 5 },
  minimise: 'weight',
  candidates: [
    { hop: 'Citra', form: 'pellet_90', grams_on_hand: 300, price_per_kg: 44 },
    { hop: 'Centennial', form: 'pellet_90', grams_on_hand: 300, price_per_kg: 29 },
  ],
};
