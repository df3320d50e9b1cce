// The package as another program gets it: packed, unpacked into an empty folder, its command answers the demo brief
// and its example is type-checked in both ways of resolving modules, and run.
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';
import { afterAll, beforeAll, expect, test } from 'vitest';

const MOST_KB = 400;
const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const EXAMPLE = 'cheaper-citrus';

interface Packed {
  readonly filename: string;
  readonly size: number;
  readonly files: readonly { readonly path: string }[];
}
let folder: string;
let packed: Packed;

function run(command: string, ...args: readonly string[]): string {
  const { status, stdout, stderr } = spawnSync(command, args, { cwd: folder, encoding: 'utf8' });
  expect(status, `${command} ${args.join(' ')}: ${stderr}`).toBe(0);
  return stdout;
}

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'blendbine-package-'));
  const output = run('npm', 'pack', ROOT, '--json', '--silent', '--pack-destination', folder);
  packed = (JSON.parse(output.slice(output.indexOf('[\n'))) as Packed[])[0]!;
  writeFileSync(join(folder, 'package.json'), '{"name":"user","private":true,"type":"module"}');
  run('npm', 'install', '--offline', '--no-audit', '--no-fund', `./${packed.filename}`);
  copyFileSync(`${ROOT}src/library/example/${EXAMPLE}.mts`, join(folder, `${EXAMPLE}.mts`));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test(`it is at most ${MOST_KB} kB, without sources and tests, and asks for no other package`, () => {
  console.log(`${(packed.size / 1000).toFixed(0)} kB packed, ${packed.files.length} files`);
  expect(packed.size).toBeLessThanOrEqual(MOST_KB * 1000);
  const paths = packed.files.map(({ path }) => path);
  expect(paths).toEqual(expect.arrayContaining(['README.md', 'LICENSE', 'build-cli/index.d.ts']));
  const strange = paths.filter((p) => !/^(build-cli|data)\/|^(README|LICENSE|package\.)/.test(p));
  expect(strange).toEqual([]);
  const its = JSON.parse(readFileSync(join(folder, 'node_modules/blendbine/package.json'), 'utf8'));
  expect(its).not.toHaveProperty('dependencies');
});

test('its command answers the demo brief', () => {
  const brief = join(ROOT, 'seeds/briefs/tropical.json');
  const answer = JSON.parse(run('npx', '--no-install', 'blendbine', 'design', brief, '--json'));
  expect(answer.status).toBe('optimal');
  expect(answer.blends[0].additions.length).toBeGreaterThan(0);
});

test.each([
  ['bundler', ts.ModuleResolutionKind.Bundler, ts.ModuleKind.ESNext],
  ['nodenext', ts.ModuleResolutionKind.NodeNext, ts.ModuleKind.NodeNext],
] as const)('its example is sound under %s', (_, moduleResolution, module) => {
  const program = ts.createProgram([join(folder, `${EXAMPLE}.mts`)], {
    ...{ strict: true, noEmit: true, exactOptionalPropertyTypes: true, types: [] },
    skipDefaultLibCheck: true,
    ...{ target: ts.ScriptTarget.ES2023, lib: ['lib.es2023.d.ts', 'lib.dom.d.ts'] },
    ...{ module, moduleResolution },
  });
  const faults = ts
    .getPreEmitDiagnostics(program)
    .map((d) => ts.flattenDiagnosticMessageText(d.messageText, '\n'));
  expect(faults).toEqual([]);
});

test('its example runs', () => {
  const text = readFileSync(join(folder, `${EXAMPLE}.mts`), 'utf8');
  const options = { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2023 };
  const { outputText } = ts.transpileModule(text, { compilerOptions: options });
  writeFileSync(join(folder, 'example.mjs'), outputText);
  const [table, blend, alone, refused] = run('node', 'example.mjs').split('\n');
  expect(table).toMatch(/^\d+ of \d+ varieties have figures enough/);
  expect(blend).toMatch(/^optimal \d+ g /);
  expect(alone).toMatch(/^Cascade alone: citrus \d\.\d$/);
  expect(refused).toBeTruthy();
});
