// A run of `npm test` that is broken off ends the programs it started and leaves no folder behind; nor does one
// that ends by itself.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, expect, it } from 'vitest';

const MODULE = pathToFileURL(join(import.meta.dirname, 'programs.ts')).href;

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'broken-off-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** A run of one program, which writes its process id and then goes on for `seconds`. */
function runFor(seconds: number) {
  const program = `console.log(process.pid); setTimeout(() => {}, ${seconds * 1000})`;
  const script = `import { run } from ${JSON.stringify(MODULE)};
    await run(process.execPath, ['-e', ${JSON.stringify(program)}]);`;
  return spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
    env: { ...process.env, TMPDIR: folder, TEMP: folder, TMP: folder },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
}

const left = () => readdirSync(folder).filter((name) => name.startsWith('blendbine-tests-'));

it.each([
  ['SIGINT', 130],
  ['SIGTERM', 143],
] as const)(
  'a run broken off by %s ends its programs and removes its folder',
  async (signal, code) => {
    const run = runFor(60);
    const [first] = (await once(run.stdout, 'data')) as [Buffer];
    expect(left()).toHaveLength(1);
    run.kill(signal);
    expect(await once(run, 'exit')).toEqual([code, null]);
    expect(() => process.kill(Number(first.toString()), 0)).toThrow('ESRCH');
    expect(left()).toEqual([]);
  },
);

it('a run that ends by itself removes its folder', async () => {
  expect(await once(runFor(0), 'exit')).toEqual([0, null]);
  expect(left()).toEqual([]);
});
