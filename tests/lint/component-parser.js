// Parses the script of a component for the linter, with types. The linter's own way works the types of
// the whole project out anew for each component; here all components are part of one TypeScript program.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import svelte from 'eslint-plugin-svelte';
import ts from 'typescript';
import tseslint from 'typescript-eslint';

const ROOT = join(import.meta.dirname, '../..');
const { parser: componentParser } = svelte.configs.base.find(
  ({ languageOptions }) => languageOptions?.parser !== undefined,
).languageOptions;

/** What the linter makes of each component for TypeScript to read, by file. */
function scriptsOf(options) {
  const scripts = new Map();
  const files = readdirSync(join(ROOT, 'src'), { recursive: true });
  for (const name of files.filter((file) => file.endsWith('.svelte'))) {
    const filePath = join(ROOT, 'src', name);
    const parser = {
      parseForESLint(code, asked) {
        scripts.set(filePath, code);
        return tseslint.parser.parseForESLint(code, { ...asked, projectService: false });
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
  const host = ts.createCompilerHost(config.options, true);
  const sourceFile = host.getSourceFile.bind(host);
  host.getSourceFile = (file, language, ...rest) => {
    const script = scripts.get(file);
    if (script === undefined) return sourceFile(file, language, ...rest);
    return ts.createSourceFile(file, script, language, true, ts.ScriptKind.TS);
  };
  return ts.createProgram([...config.fileNames, ...scripts.keys()], config.options, host);
}

let scripts;
let program;

/** A component that somebody edits differs from its file: its types are worked out the linter's way. */
export function parseForESLint(code, options) {
  scripts ??= scriptsOf(options);
  if (scripts.get(options.filePath) !== code) return tseslint.parser.parseForESLint(code, options);
  program ??= programOf(scripts);
  return tseslint.parser.parseForESLint(code, {
    ...options,
    projectService: false,
    programs: [program],
  });
}
