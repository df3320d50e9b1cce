// The types of the package, written out in full: every type that a caller meets, with its comments, and no type
// of the libraries ours are made with. So a program that uses the package needs no other package for its type
// check.
import ts from 'typescript';

const OPTIONS: ts.CompilerOptions = {
  strict: true,
  exactOptionalPropertyTypes: false,
  target: ts.ScriptTarget.ESNext,
  module: ts.ModuleKind.ESNext,
  moduleResolution: ts.ModuleResolutionKind.Bundler,
  allowImportingTsExtensions: true,
  resolveJsonModule: true,
  skipLibCheck: true,
  noEmit: true,
  types: [],
};

class Declarations {
  readonly #checker: ts.TypeChecker;
  readonly #entry: ts.SourceFile;
  /** Named types by name, in the order in which they are found. */
  readonly #named = new Map<string, string>();
  /** Types that the entry file itself exports under a name. */
  readonly #exported = new Map<ts.Type, ts.Symbol>();

  constructor(entry: string) {
    const program = ts.createProgram([entry], OPTIONS);
    this.#checker = program.getTypeChecker();
    this.#entry = program.getSourceFile(entry)!;
  }

  /** The text of a declaration file for what the entry exports. */
  text(): string {
    const checker = this.#checker;
    const exported = checker.getExportsOfModule(checker.getSymbolAtLocation(this.#entry)!);
    const targets = exported.map((symbol) =>
      symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol,
    );
    for (const target of targets) {
      if (target.flags & ts.SymbolFlags.TypeAlias)
        this.#exported.set(checker.getDeclaredTypeOfSymbol(target), target);
    }
    const values: string[] = [];
    for (const target of targets) {
      if (target.flags & (ts.SymbolFlags.TypeAlias | ts.SymbolFlags.Interface)) {
        this.#declare(target, checker.getDeclaredTypeOfSymbol(target));
        continue;
      }
      const type = checker.getTypeOfSymbolAtLocation(target, this.#entry);
      const [signature] = type.getCallSignatures();
      const kind = signature
        ? `function ${target.name}${this.#signature(signature)}`
        : `const ${target.name}: ${this.#print(type)}`;
      values.push(`${docOf(target, checker)}export declare ${kind};`);
    }
    return `${[...values, ...this.#named.values()].join('\n\n')}\n`;
  }

  #signature(signature: ts.Signature): string {
    const parameters = signature.getParameters().map((parameter) => {
      const declaration = parameter.valueDeclaration as ts.ParameterDeclaration;
      const isOptional = declaration.initializer ?? declaration.questionToken;
      const type = this.#checker.getTypeOfSymbolAtLocation(parameter, this.#entry);
      return `${parameter.name}${isOptional ? '?' : ''}: ${this.#print(type)}`;
    });
    return `(${parameters.join(', ')}): ${this.#print(signature.getReturnType())}`;
  }

  /** Writes a named type once; types may refer to themselves. */
  #declare(symbol: ts.Symbol, type: ts.Type): string {
    const { name } = symbol;
    if (this.#named.has(name)) return name;
    this.#named.set(name, '');
    const doc = docOf(symbol, this.#checker);
    if (name === 'Outcome') {
      const other = '{ readonly ok: false; readonly problems: readonly Problem[] }';
      this.#named.set(
        name,
        `${doc}export type Outcome<T> = { readonly ok: true; readonly value: T } | ${other};`,
      );
    } else this.#named.set(name, `${doc}export type ${name} = ${this.#expand(type)};`);
    return name;
  }

  /** The text of a type where it is used: its name if it has a plain one. */
  #print(type: ts.Type): string {
    const { aliasSymbol, aliasTypeArguments } = type;
    if (aliasSymbol?.name === 'Outcome') {
      this.#declare(aliasSymbol, type);
      return `Outcome<${this.#print(aliasTypeArguments![0]!)}>`;
    }
    const named = this.#exported.get(type);
    if (named) return this.#declare(named, type);
    if (aliasSymbol && !aliasTypeArguments?.length) return this.#declare(aliasSymbol, type);
    const { symbol } = type as { symbol?: ts.Symbol };
    const isInterface = symbol !== undefined && (symbol.flags & ts.SymbolFlags.Interface) !== 0;
    const isOurs =
      isInterface &&
      !symbol.declarations?.some((d) => /node_modules/.test(d.getSourceFile().fileName));
    return isOurs ? this.#declare(symbol, type) : this.#expand(type);
  }

  #expand(type: ts.Type): string {
    const checker = this.#checker;
    if (type.isUnion()) return this.#union(type);
    // A number with a unit.
    if (type.isIntersection() && type.types.some((t) => t.flags & ts.TypeFlags.Number))
      return 'number';
    if (!(type.flags & (ts.TypeFlags.Object | ts.TypeFlags.Intersection)))
      return checker.typeToString(type, undefined, ts.TypeFormatFlags.NoTruncation);
    if (checker.isTupleType(type) || checker.isArrayType(type)) {
      const items = checker.getTypeArguments(type as ts.TypeReference).map((t) => this.#print(t));
      const isReadonly = checker.typeToString(type).startsWith('readonly ');
      const list = checker.isTupleType(type) ? `[${items.join(', ')}]` : `(${items[0]})[]`;
      return (isReadonly ? 'readonly ' : '') + list.replace(/^\(([\w.]+)\)/, '$1');
    }
    const indexes = checker
      .getIndexInfosOfType(type)
      .map((info) => `[key: ${this.#print(info.keyType)}]: ${this.#print(info.type)};`);
    const members = checker.getPropertiesOfType(type).map((member) => this.#member(member));
    return `{\n${[...indexes, ...members].join('\n')}\n}`;
  }

  #union(type: ts.UnionType): string {
    const isBoolean = (t: ts.Type) => (t.flags & ts.TypeFlags.BooleanLiteral) !== 0;
    const booleans = type.types.filter(isBoolean).length;
    const rest = booleans === 2 ? type.types.filter((t) => !isBoolean(t)) : type.types;
    const parts = [...(booleans === 2 ? ['boolean'] : []), ...rest.map((t) => this.#print(t))];
    return [...new Set(parts)].join(' | ');
  }

  #member(member: ts.Symbol): string {
    const checker = this.#checker;
    const isOptional = (member.flags & ts.SymbolFlags.Optional) !== 0;
    const given = checker.getTypeOfSymbolAtLocation(member, this.#entry);
    const isAny = (given.flags & (ts.TypeFlags.Any | ts.TypeFlags.Unknown)) !== 0;
    const type = isOptional && !isAny ? checker.getNonNullableType(given) : given;
    const hadNull =
      isOptional && given.isUnion() && given.types.some((t) => t.flags & ts.TypeFlags.Null);
    const isReadonly = member.declarations?.some(
      (d) => (ts.getCombinedModifierFlags(d) & ts.ModifierFlags.Readonly) !== 0,
    );
    const name = /^[A-Za-z_]\w*$/.test(member.name) ? member.name : JSON.stringify(member.name);
    const text = this.#print(type) + (hadNull ? ' | null' : '');
    return `${docOf(member, checker)}${isReadonly ? 'readonly ' : ''}${name}${isOptional ? '?' : ''}: ${text};`;
  }
}

function docOf(symbol: ts.Symbol, checker: ts.TypeChecker): string {
  const doc = ts.displayPartsToString(symbol.getDocumentationComment(checker)).trim();
  return doc === '' ? '' : `/** ${doc.replaceAll('*/', '*\u200b/')} */\n`;
}

/** Indents each line by the depth of braces around it. */
function indented(text: string): string {
  let depth = 0;
  return text
    .split('\n')
    .map((line) => {
      if (line.startsWith('}')) depth -= 1;
      const set = line === '' ? '' : ' '.repeat(depth) + line;
      if (line.endsWith('{')) depth += 1;
      return set;
    })
    .join('\n');
}

/** The declaration file of what a source file exports. */
export function declarationsOf(entry: string): string {
  const text = indented(new Declarations(entry).text());
  return `// Types of the package blendbine, written by its build.\n${text}`;
}
