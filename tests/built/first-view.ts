// What a browser fetches of a built page before it can be used: the scripts and style sheets its
// HTML names, and everything those scripts import statically. Workers, the solver and whatever is
// loaded on demand do not count.
import { readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { gzipSync } from 'node:zlib';
import ts from 'typescript';

export interface FetchedFile {
  /** Path inside the build folder. */
  readonly path: string;
  /** Bytes as sent, compressed with gzip -9. */
  readonly gzipBytes: number;
}

/** Paths that a script imports or re-exports statically, as written. */
export function staticImports(script: string): string[] {
  const file = ts.createSourceFile('script.js', script, ts.ScriptTarget.Latest);
  return file.statements.flatMap((statement) => {
    if (!ts.isImportDeclaration(statement) && !ts.isExportDeclaration(statement)) return [];
    const from = statement.moduleSpecifier;
    return from && ts.isStringLiteral(from) ? [from.text] : [];
  });
}

/** Files named in the HTML of a page, by their ending. */
export function namedInHtml(html: string, ending: 'js' | 'css'): string[] {
  const names = html.matchAll(new RegExp(`["'](?:\\.{0,2}/)*(_app/[^"']+\\.${ending})["']`, 'g'));
  return [...new Set([...names].map((m) => m[1]!))];
}

function fetched(folder: string, path: string): FetchedFile {
  return { path, gzipBytes: gzipSync(readFileSync(folder + path), { level: 9 }).length };
}

/** Scripts of the first view of a page, each once. */
export function firstViewScripts(folder: string, page: string): FetchedFile[] {
  const waiting = namedInHtml(readFileSync(folder + page, 'utf8'), 'js');
  const found = new Set<string>();
  for (let path = waiting.pop(); path !== undefined; path = waiting.pop()) {
    if (found.has(path)) continue;
    found.add(path);
    const from = posix.dirname(path);
    const imports = staticImports(readFileSync(folder + path, 'utf8'));
    waiting.push(...imports.map((name) => posix.join(from, name)));
  }
  return [...found].map((path) => fetched(folder, path));
}

/** Style sheets of the first view of a page. */
export function firstViewStyles(folder: string, page: string): FetchedFile[] {
  return namedInHtml(readFileSync(folder + page, 'utf8'), 'css').map((p) => fetched(folder, p));
}
