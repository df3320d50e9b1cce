// Parses the script of a component for the linter, with types. The linter's own way works the types of
// the whole project out anew for each component; here all components are part of one TypeScript program.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import svelte from 'eslint-plugin-svelte';
import ts from 'typescript';
import tseslint from 'typescript-eslint';

const ROOT = join(import.meta.dirname, '../..');
/** @typedef {Record<string, unknown>} Options what the linter asks of a parser */
/** @typedef {{ parseForESLint(code: string, options: Options): unknown }} Parser */
/** @type {Parser} */
const scriptParser = /** @type {any} */ (tseslint.parser);
/** @type {Parser} */
const componentParser = /** @type {any} */ (
  svelte.configs.base.map(
    ({ languageOptions: asked }) => asked && 'parser' in asked && asked.parser,
  )
).find(Boolean);

/**
 * What the linter makes of each component for TypeScript to read, by file.
 * @param {Options} options
 */
function scriptsOf(options) {
  /** @type {Map<string, string>} */
  const scripts = new Map();
  const files = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' });
  for (const name of files.filter((file) => file.endsWith('.svelte'))) {
    const filePath = join(ROOT, 'src', name);
    /** @type {Parser} */
    const parser = {
      parseForESLint(code, asked) {
        scripts.set(filePath, code);
        return scriptParser.parseForESLint(code, { ...asked, projectService: false });
      },
    };
    componentParser.parseForESLint(readFileSync(filePath, 'utf8'), {
      ...options,
      filePath,
      parser,
    });
  }
  return scripts;
}

/** @param {ReadonlyMap<string, string>} scripts */
function programOf(scripts) {
  const config = ts.getParsedCommandLineOfConfigFile(
    join(ROOT, 'tsconfig.json'),
    { allowNonTsExtensions: true, noEmit: true },
    {
      ...ts.sys,
      onUnRecoverableConfigFileDiagnostic(problem) {
        throw new Error(ts.flattenDiagnosticMessageText(problem.messageText, '\n'));
      },
    },
  );
  if (config === undefined) throw new Error('tsconfig.json cannot be read');
  const host = ts.createCompilerHost(config.options, true);
  const sourceFile = host.getSourceFile.bind(host);
  host.getSourceFile = (file, language, ...rest) => {
    const script = scripts.get(file);
    if (script === undefined) return sourceFile(file, language, ...rest);
    return ts.createSourceFile(file, script, language, true, ts.ScriptKind.TS);
  };
  return ts.createProgram([...config.fileNames, ...scripts.keys()], config.options, host);
}

/** @type {ReadonlyMap<string, string> | undefined} */
let scripts;
/** @type {ts.Program | undefined} */
let program;

/**
 * A component that somebody edits differs from its file: its types are worked out the linter's way.
 * @param {string} code
 * @param {Options} options
 */
export function parseForESLint(code, options) {
  scripts ??= scriptsOf(options);
  if (scripts.get(String(options['filePath'])) !== code)
    return scriptParser.parseForESLint(code, options);
  program ??= programOf(scripts);
  return scriptParser.parseForESLint(code, {
    ...options,
    projectService: false,
    programs: [program],
  });
}
