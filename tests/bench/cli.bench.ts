// What a start of the bundled command line costs beside a start of Node that does nothing. The goal:
// --help at most 8 times as long.
import { spawnSync } from 'node:child_process';
import { bench, describe, inject } from 'vitest';
import { ROOT } from '../cli/run.ts';

describe('a start of the command line', () => {
  const start = (name: string, args: readonly string[]) =>
    bench(
      name,
      () => {
        const { status } = spawnSync(process.execPath, args, { cwd: ROOT, stdio: 'ignore' });
        if (status !== 0) throw new Error(`${name} ended with ${status}`);
      },
      { time: 3000 },
    );

  start('an empty start of Node', ['-e', '0']);
  start('--help', [inject('cli'), '--help']);
  start('source', [inject('cli'), 'source', 'parameter/oil.density']);
});
