// Bundles the command line once for a run of the unit tests: to start the bundle costs a tenth of what compiling
// the sources at every start would. The bundle stands in a folder that the run removes when it ends, also when it
// failed; tests put the files they write there too (`fileWith` in run.ts).
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import type { TestProject } from 'vitest/node';

declare module 'vitest' {
  interface ProvidedContext {
    /** Path of the bundled command line. */
    cli: string;
  }
}

const CONFIG = fileURLToPath(new URL('../../vite.cli.config.ts', import.meta.url));

/** Bundles into `folder`; gives the path of the program. */
export async function bundled(folder: string): Promise<string> {
  await build({
    configFile: CONFIG,
    logLevel: 'warn',
    build: { outDir: folder, emptyOutDir: true },
  });
  return join(folder, 'blendbine.js');
}

export async function provideBundle(project: TestProject): Promise<() => void> {
  const folder = mkdtempSync(join(tmpdir(), 'blendbine-bundle-'));
  const remove = () => rmSync(folder, { recursive: true, force: true });
  // Vitest calls what is returned; a bundle that fails or a run that is broken off ends without that.
  process.once('exit', remove);
  project.provide('cli', await bundled(folder));
  return remove;
}
