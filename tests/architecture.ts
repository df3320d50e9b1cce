// Says where a source file breaks the shape of the project: which layer may import which, which room of
// a layer may import which, what the pure layers may touch, how large a file and a folder may be, how a
// file begins and what it may be called. Works on texts in memory, so that the checker itself can be
// tested; knows nothing of the disk. The layers and rooms stand in `layers.ts`.
import { posix } from 'node:path';
import ts from 'typescript';
import { FOLDERS, MAY_IMPORT, ROOMS, type Layer } from './layers.ts';

export interface SourceFile {
  /** Path from the root of the project, with forward slashes. */
  readonly path: string;
  readonly text: string;
}

const MOST_FILES = 24;
const MOST_LINES = 400;
const MOST_LINES_OF_A_README = 10;

/** Layers that compute: the same in a browser, a worker, Node and a test. */
const PURE: readonly Layer[] = ['shared', 'engine', 'optimize', 'library'];
const PURE_PACKAGES: readonly string[] = [
  'd3',
  'fast-xml-parser',
  'papaparse',
  'simple-statistics',
  'zod',
];
/** Layers that run in Node only. */
const NODE: readonly Layer[] = ['data/build', 'cli', 'serve'];
/** Layers that may know Svelte and Kit. */
const SCREEN: readonly Layer[] = ['state', 'charts', 'ui', 'routes'];
/** Names of the browser's and Node's world that a pure layer must not touch. */
const WORLD = new Set(
  `window document navigator location localStorage sessionStorage indexedDB caches fetch
  XMLHttpRequest WebSocket EventSource Worker self postMessage onmessage alert confirm prompt
  requestAnimationFrame matchMedia console process Buffer require __dirname __filename`.split(
    /\s+/,
  ),
);

type Folder = keyof typeof FOLDERS;

function folderOf(path: string): Folder | undefined {
  return (Object.keys(FOLDERS) as Folder[])
    .filter((folder) => path.startsWith(folder))
    .sort((a, b) => b.length - a.length)[0];
}

/** A thread of its own has a mailbox, and only that, at its entrance. */
const THREADS: Readonly<Record<string, readonly string[]>> = {
  'src/lib/optimize/worker/worker.ts': ['self'],
};

export function layerOf(path: string): Layer | undefined {
  const folder = folderOf(path);
  return folder && FOLDERS[folder];
}

/** The TypeScript in a file: all of it, or what stands between script tags. */
function scriptOf({ path, text }: SourceFile): string {
  if (!path.endsWith('.svelte')) return text;
  return [...text.matchAll(/<script[^>]*>([\s\S]*?)<\/script>/g)].map((m) => m[1]).join('\n');
}

const trees = new WeakMap<SourceFile, ts.SourceFile>();

/** The syntax tree of a file's script, made once. */
function parsed(file: SourceFile): ts.SourceFile {
  let tree = trees.get(file);
  if (!tree) {
    tree = ts.createSourceFile(file.path, scriptOf(file), ts.ScriptTarget.Latest, true);
    trees.set(file, tree);
  }
  return tree;
}

interface Import {
  readonly specifier: string;
  /** `new URL('…', import.meta.url)`, which takes no alias: how the bundler finds a worker. */
  readonly isAddress: boolean;
}

interface Facts {
  /** Everything a file reaches for by name: imports, re-exports, addresses of files. */
  readonly imports: readonly Import[];
  /** Names of WORLD used without being declared in the file. */
  readonly world: readonly string[];
}

/** Whether an identifier is only the name of a member or a declaration, not a use of a variable. */
function isLabel(node: ts.Identifier): boolean {
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent)) return parent.name === node;
  if (ts.isQualifiedName(parent)) return parent.right === node;
  if (ts.isBindingElement(parent)) return parent.propertyName === node;
  const named =
    ts.isPropertyAssignment(parent) ||
    ts.isPropertySignature(parent) ||
    ts.isPropertyDeclaration(parent) ||
    ts.isMethodDeclaration(parent) ||
    ts.isMethodSignature(parent) ||
    ts.isEnumMember(parent);
  return named && parent.name === node;
}

function declares(node: ts.Identifier): boolean {
  const { parent } = node;
  const declaration =
    ts.isVariableDeclaration(parent) ||
    ts.isParameter(parent) ||
    ts.isBindingElement(parent) ||
    ts.isFunctionDeclaration(parent) ||
    ts.isImportSpecifier(parent) ||
    ts.isImportClause(parent);
  return declaration && parent.name === node;
}

function factsOf(file: SourceFile): Facts {
  const imports: Import[] = [];
  const used = new Set<string>();
  const declared = new Set<string>();
  const note = (node: ts.Node | undefined, isAddress = false) => {
    if (node && ts.isStringLiteralLike(node)) imports.push({ specifier: node.text, isAddress });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) note(node.moduleSpecifier);
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword)
      note(node.arguments[0]);
    if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument))
      note(node.argument.literal);
    if (ts.isNewExpression(node) && node.expression.getText() === 'URL' && node.arguments?.[1])
      note(node.arguments[0], true);
    if (ts.isIdentifier(node) && WORLD.has(node.text)) {
      if (declares(node)) declared.add(node.text);
      else if (!isLabel(node)) used.add(node.text);
    }
    ts.forEachChild(node, visit);
  };
  visit(parsed(file));
  return { imports, world: [...used].filter((name) => !declared.has(name)) };
}

/** A path into the project for `#alias/…` and relative imports; `undefined` for a package. */
function targetOf(from: string, specifier: string, aliases: Aliases): string | undefined {
  if (specifier.startsWith('.')) return posix.join(posix.dirname(from), specifier);
  const alias = Object.keys(aliases).find((a) => specifier.startsWith(a));
  return alias && aliases[alias] + specifier.slice(alias.length);
}

/** From an alias prefix like `#engine/` to its folder like `src/lib/engine/`. */
export type Aliases = Readonly<Record<string, string>>;

/** The `imports` of package.json as alias prefixes. */
export function aliasesOf(imports: Readonly<Record<string, string>>): Aliases {
  return Object.fromEntries(
    Object.entries(imports).map(([name, to]) => [
      name.replace(/\*$/, ''),
      to.replace(/^\.\//, '').replace(/\*$/, ''),
    ]),
  );
}

function packageFault(layer: Layer, specifier: string): string | undefined {
  const name = specifier.split('/')[0]!;
  if (name === '$lib') return 'use the # aliases of package.json instead of $lib';
  if (name.startsWith('node:') && !NODE.includes(layer)) return `${layer} must not use Node`;
  if (PURE.includes(layer) && !PURE_PACKAGES.includes(name) && !name.startsWith('node:'))
    return `${layer} computes only: it may use ${PURE_PACKAGES.join(', ')}`;
  const ofScreen = name === 'svelte' || name.startsWith('$') || name === '@sveltejs';
  if (ofScreen && !SCREEN.includes(layer)) return `${layer} must not know Svelte or Kit`;
  return undefined;
}

/** The room a file lies in: the folder below its layer's, `''` for that folder itself. */
function roomOf(path: string): string {
  const below = path.slice((folderOf(path) ?? '').length);
  return below.includes('/') ? below.slice(0, below.indexOf('/')) : '';
}

/** What is wrong with an import inside one layer. */
function roomFault(from: string, target: string, wanted: Import): string | undefined {
  const rooms = ROOMS[folderOf(from)!];
  if (!rooms) return undefined;
  const [own, other] = [roomOf(from), roomOf(target)];
  const byPath = wanted.specifier.startsWith('.');
  if (own === other) return byPath ? undefined : 'inside a room import by path, not by alias';
  if (byPath && !wanted.isAddress) return 'cross rooms by alias, not by path';
  if (rooms.includes(own) && rooms.indexOf(other) > rooms.indexOf(own))
    return `the room ${own || 'at the root'} must not import ${other}, which comes after it`;
  return undefined;
}

function importFault(file: SourceFile, wanted: Import, aliases: Aliases): string | undefined {
  const layer = layerOf(file.path);
  if (layer === undefined) return undefined;
  const path = wanted.specifier.split('?')[0]!;
  const target = targetOf(file.path, path, aliases);
  if (target === undefined) return packageFault(layer, path);
  const to = layerOf(target);
  if (to === undefined)
    return NODE.includes(layer) ? undefined : 'it reaches outside the layers of the project';
  const generatedByKit = posix.basename(target) === '$types';
  if (!posix.extname(target) && !target.endsWith('/') && !generatedByKit)
    return 'name the file with its ending';
  if (folderOf(target) === folderOf(file.path)) return roomFault(file.path, target, wanted);
  if (path.startsWith('.') && !wanted.isAddress && !NODE.includes(layer))
    return 'cross folders by alias, not by path';
  if (to === layer) return undefined;
  if (!MAY_IMPORT[layer].includes(to)) return `${layer} must not import ${to}`;
  if (to === 'data' && !NODE.includes(layer) && !target.endsWith('.json'))
    return 'only JSON of data/ may be used at run time';
  return undefined;
}

function startsWithHeader({ path, text }: SourceFile): boolean {
  const start = text.replace(/^#!.*\n/, '').trimStart();
  if (path.endsWith('.svelte')) return /^(<!--|<script[^>]*>\s*(\/\/|\/\*))/.test(start);
  return /^(\/\/|\/\*)/.test(start);
}

/** What is wrong with one file, one sentence each, the path first. */
export function faultsOf(file: SourceFile, aliases: Aliases): string[] {
  const faults: string[] = [];
  const layer = layerOf(file.path);
  const { imports, world } = factsOf(file);
  for (const wanted of imports) {
    const fault = importFault(file, wanted, aliases);
    if (fault !== undefined) faults.push(`${file.path}: imports "${wanted.specifier}": ${fault}`);
  }
  if (layer !== undefined && PURE.includes(layer)) {
    const allowed = THREADS[file.path] ?? [];
    for (const name of world.filter((n) => !allowed.includes(n)))
      faults.push(`${file.path}: uses ${name}: ${layer} computes only`);
    if (/\.svelte(\.ts)?$/.test(file.path)) faults.push(`${file.path}: Svelte in ${layer}`);
  }
  if (!startsWithHeader(file))
    faults.push(`${file.path}: does not begin with a comment on what it decides`);
  if (/^utils?\./i.test(posix.basename(file.path)))
    faults.push(`${file.path}: say what it is for instead of "utils"`);
  return faults;
}

const isSource = (path: string) => /\.(ts|js|svelte)$/.test(path);
const lines = (text: string) => text.split('\n').length - (text.endsWith('\n') ? 1 : 0);

/** What is wrong with the README of a room: missing, long, or naming a file that is not there. */
function readmeFaults(folder: string, texts: ReadonlyMap<string, string>): string[] {
  const readme = texts.get(`${folder}README.md`);
  if (readme === undefined)
    return [`${folder}: has no README.md on what it decides and where to begin`];
  const faults = [...readme.matchAll(/`([\w.-]+\.(?:ts|svelte))`/g)]
    .filter(([, name]) => !texts.has(folder + name))
    .map(([, name]) => `${folder}README.md: names ${name}, which is not in its room`);
  if (lines(readme) > MOST_LINES_OF_A_README)
    faults.push(`${folder}README.md: more than ${MOST_LINES_OF_A_README} lines`);
  return faults;
}

/** Types declared in two source files under one name. `Props` of components are of that component. */
function typeNameFaults(sources: readonly SourceFile[]): string[] {
  const home = new Map<string, string>();
  const faults: string[] = [];
  for (const file of sources) {
    const { statements } = parsed(file);
    for (const s of statements) {
      const declares =
        ts.isInterfaceDeclaration(s) || ts.isTypeAliasDeclaration(s) || ts.isClassDeclaration(s);
      const name = declares ? s.name?.text : undefined;
      if (name === undefined || name === 'Props') continue;
      const other = home.get(name);
      if (other !== undefined && other !== file.path)
        faults.push(`${file.path}: declares ${name}, a name that ${other} has for a type`);
      home.set(name, file.path);
    }
  }
  return faults;
}

/**
 * What is wrong with files taken together, one sentence each: no room, a full folder, a long file, a
 * room without a sound README, a name for two types.
 * @param files all files of the layers, READMEs included
 */
export function treeFaults(files: readonly SourceFile[]): string[] {
  const faults: string[] = [];
  const sources = files.filter(({ path }) => isSource(path));
  const texts = new Map(files.map(({ path, text }) => [path, text]));
  for (const folder of new Set(sources.map(({ path }) => posix.dirname(path)))) {
    const count = sources.filter(({ path }) => posix.dirname(path) === folder).length;
    if (count > MOST_FILES)
      faults.push(`${folder}: ${count} files, at most ${MOST_FILES}: divide it into rooms`);
  }
  const layered = sources.filter(({ path }) => layerOf(path) !== undefined);
  faults.push(...typeNameFaults(layered));
  for (const { path, text } of layered) {
    if (lines(text) > MOST_LINES)
      faults.push(`${path}: ${lines(text)} lines, at most ${MOST_LINES}: divide what it decides`);
    const rooms = ROOMS[folderOf(path)!];
    if (rooms && !rooms.includes(roomOf(path)))
      faults.push(`${path}: lies in no room of ROOMS: ${rooms.filter(Boolean).join(', ')}`);
  }
  for (const [layer, rooms] of Object.entries(ROOMS))
    for (const room of rooms) {
      const folder = room ? `${layer}${room}/` : layer;
      if (!sources.some(({ path }) => path.startsWith(folder)))
        faults.push(`${folder}: a room of ROOMS without a file`);
      else faults.push(...readmeFaults(folder, texts));
    }
  return faults;
}
