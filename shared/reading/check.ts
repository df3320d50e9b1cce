// Whether a value is the document its schema describes, or every problem it has: where, what, and the
// cure, in sentences a brewer understands. Pure: page, database and command line check through it alike.
import { z } from '#shared/zod.ts';
import { nearestName } from '#shared/names.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { pathText, type Path } from './path.ts';
import { Problems } from './problems.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import { rangeOf, type Range } from '#shared/schemas/ranges.ts';

/** What the top-level fields of one kind of document are called when met in the other. */
const FOREIGN_FIELDS: Readonly<Record<string, string>> = {
  ...Object.fromEntries(
    Object.keys(briefSchema.shape).map((field) => [field, 'a brief (verb design)']),
  ),
  additions: 'a schedule (verb predict)',
  replace: 'a schedule with a hop to replace (verb swap)',
  just_noticeable: 'a schedule to save on (verb save)',
};

type Schema = z.core.$ZodTypes;
/** Lists of known names up to this length are given in full. */
const LIST_MAX = 15;

/** Checks a value that is already parsed, with the same sentences as a text. */
export function check<T>(value: unknown, schema: z.ZodMiniType<T>): Outcome<T> {
  const problems = new Problems();
  const part = checkInto(problems, pathText, value, schema);
  return part === undefined ? failure(...problems.list) : success(part);
}

/** Writes a place inside a part as a place in the whole document. */
export type PlaceName = (path: Path) => string;

/**
 * Checks one part of what is read.
 * @returns the part, or `undefined`; then its problems were added to `problems`.
 */
export function checkInto<T>(
  problems: Problems,
  place: PlaceName,
  value: unknown,
  schema: z.ZodMiniType<T>,
): T | undefined {
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  const context = { document: value, schema: schema as unknown as Schema, place, problems };
  for (const issue of parsed.error.issues) tellIssue(issue, [], context);
  return undefined;
}

interface Context {
  readonly document: unknown;
  readonly schema: Schema;
  readonly place: PlaceName;
  readonly problems: Problems;
}

function tellIssue(issue: z.core.$ZodIssue, above: Path, context: Context): void {
  const path = [...above, ...(issue.path as Path)];
  const { problems, place } = context;
  if (issue.code === 'unrecognized_keys') {
    const schema = schemaAt(context.schema, path, context.document);
    const known = schema ? fieldsOf(schema) : [];
    for (const key of issue.keys) {
      problems.add(() => unknownField([...path, key], known, schema, place));
    }
    return;
  }
  const value = valueAt(context.document, path);
  // A discriminated union reports nothing of its members.
  const inList =
    issue.code === 'invalid_union' && Array.isArray(value) ? (issue.errors.at(-1) ?? []) : [];
  if (inList.length > 0) for (const inner of inList) tellIssue(inner, path, context);
  else {
    problems.add(() => ({
      path: place(path),
      ...faultOf(issue, value, schemaAt(context.schema, path, context.document)),
    }));
  }
}

/** What is wrong with one value, and the cure. */
function faultOf(
  issue: Exclude<z.core.$ZodIssue, z.core.$ZodIssueUnrecognizedKeys>,
  value: unknown,
  schema: Schema | undefined,
): Omit<Problem, 'path'> {
  if (value === undefined) return { message: 'the field is missing', cure: giving(schema) };
  // eslint-disable-next-line @typescript-eslint/switch-exhaustiveness-check -- the validator's own kinds
  switch (issue.code) {
    case 'invalid_union': {
      const names = schema && enumOf(schema);
      if (names) {
        return {
          message: `${quoted(value)} is not a name known here`,
          cure: choosing(value, names),
        };
      }
      return { message: `${quoted(value)} is not allowed here`, cure: giving(schema) };
    }
    case 'invalid_format':
      return { message: `${quoted(value)} is not in the right format`, cure: giving(schema) };
    case 'invalid_value':
      return {
        message: `${quoted(value)} is not a name known here`,
        cure: choosing(value, issue.values),
      };
    case 'too_small':
    case 'too_big':
      return { message: outOfRange(issue, value), cure: giving(schema) };
    case 'custom':
      return { message: issue.message, cure: String(issue.params?.['cure'] ?? giving(schema)) };
    default:
      return { message: wrongKind(value, schema), cure: curing(value, schema) };
  }
}

function unknownField(
  path: Path,
  known: readonly string[],
  schema: Schema | undefined,
  place: PlaceName,
): Problem {
  const key = String(path.at(-1));
  const isAxis = schema?._zod.def.type === 'record' && path[0] === 'target';
  const message = isAxis ? `no aroma axis is called ${quoted(key)}` : 'no such field is known here';
  const problem = (cure: string): Problem => ({
    path: place(path),
    message,
    cure,
  });
  if (place === pathText && path.length === 1 && Object.hasOwn(FOREIGN_FIELDS, key)) {
    return problem(`It belongs to ${FOREIGN_FIELDS[key]}: remove it, or use that verb`);
  }
  const near = nearestName(key, known);
  const list = known.length <= LIST_MAX ? `known here: ${known.join(', ')}` : undefined;
  const cure = [near ? `Write ${near} if that is meant` : 'Remove it', list];
  return problem(cure.filter((c) => c !== undefined).join('; '));
}

function outOfRange(
  issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig,
  value: unknown,
): string {
  const size = typeof value === 'string' || Array.isArray(value) ? value.length : undefined;
  if (size === 0) return typeof value === 'string' ? 'the text is empty' : 'the list is empty';
  if (typeof value === 'string' && issue.code === 'too_small') return 'the text is blank';
  if (issue.code === 'too_big') {
    if (typeof value === 'string') return `the text has ${size} characters, over ${issue.maximum}`;
    if (Array.isArray(value)) return `the list has ${size} entries, over ${issue.maximum}`;
    return `${quoted(value)} is above ${issue.maximum}, the largest value allowed`;
  }
  if (typeof value === 'number' && value < 0 && Number(issue.minimum) === 0) {
    return `${quoted(value)} is negative`;
  }
  return issue.inclusive
    ? `${quoted(value)} is below ${issue.minimum}, the smallest value allowed`
    : `${quoted(value)} is not above ${issue.minimum}`;
}

function wrongKind(value: unknown, schema: Schema | undefined): string {
  const needed = schema ? kindOf(schema) : 'something else';
  if (typeof value === 'number') return `${quoted(value)} is not ${needed}`;
  if (typeof value === 'string') return `${quoted(value)} is text, not ${needed}`;
  return `${quoted(value)} is given where ${needed} is needed`;
}

function curing(value: unknown, schema: Schema | undefined): string {
  const isNumber = schema && bare(schema)._zod.def.type === 'number';
  if (isNumber && typeof value === 'string') {
    const figure = value.trim().replace(',', '.');
    const number = figure === '' ? NaN : Number(figure);
    if (Number.isFinite(number)) return `Write it as a bare number: ${number}`;
  }
  if (value === null && schema?._zod.def.type === 'optional') {
    return `${giving(schema)}, or leave the field out`;
  }
  return giving(schema);
}

function choosing(value: unknown, values: readonly unknown[]): string {
  const names = values.map(String);
  const near = typeof value === 'string' ? nearestName(value, names) : undefined;
  const list = `one of: ${names.join(', ')}`;
  return near ? `Write ${near} if that is meant, or ${list}` : `Use ${list}`;
}

/** The cure for each schema, worded once: a file full of faults needs the same one over and over. */
const givings = new WeakMap<Schema, string>();

/** `Give the kind of yeast: standard or thiol_releasing`: the cure for a value missing or wrong. */
function giving(schema: Schema | undefined): string {
  if (!schema) return 'Correct it';
  const known = givings.get(schema);
  if (known !== undefined) return known;
  const meaning = descriptionOf(schema);
  const kind = kindOf(schema);
  const { type } = bare(schema)._zod.def;
  const both = type === 'number' || type === 'enum' || type === 'boolean';
  const words = meaning && both ? `${meaning}: ${kind}` : (meaning ?? kind);
  givings.set(schema, `Give ${words}`);
  return `Give ${words}`;
}

/** What a schema takes, with its range or names. */
function kindOf(schema: Schema): string {
  const plain = bare(schema);
  const { def } = plain._zod;
  // eslint-disable-next-line @typescript-eslint/switch-exhaustiveness-check -- the validator's own kinds
  switch (def.type) {
    case 'number':
      return figureOf(rangeOf(plain));
    case 'enum':
      return Object.values(def.entries).join(', ');
    case 'boolean':
      return 'true or false';
    case 'string':
      return 'text';
    case 'array':
      return 'a list in brackets [ ]';
    case 'object':
    case 'record':
      return 'an object in braces { }';
    default:
      return 'something else';
  }
}

/** `a number from 0 up to 1000`, `a whole number above 0 and up to 1000`. */
function figureOf({ min, max, above, whole }: Range): string {
  const from = min > -Infinity ? (above ? ` above ${min} and` : ` from ${min}`) : '';
  const to = max < Infinity ? ` up to ${max}` : '';
  return `${whole ? 'a whole number' : 'a number'}${from}${to}`;
}

/** A value as it is shown in a sentence. */
function quoted(value: unknown): string {
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object' && value !== null) return 'an object';
  if (typeof value !== 'string') return String(value);
  return JSON.stringify(value.length > 40 ? `${value.slice(0, 40)}…` : value);
}

function valueAt(document: unknown, path: Path): unknown {
  return path.reduce<unknown>(
    (at, step) =>
      typeof at === 'object' && at !== null && Object.hasOwn(at, step)
        ? (at as Record<string | number, unknown>)[step]
        : undefined,
    document,
  );
}

/** The schema without the wrappers that make it optional, and without what is done before and after it. */
function bare(schema: Schema): Schema {
  const { def } = schema._zod;
  if (def.type === 'pipe') {
    const [first, then] = [def.in as Schema, def.out as Schema];
    return bare(first._zod.def.type === 'transform' ? then : first);
  }
  return def.type === 'optional' || def.type === 'default' ? bare(def.innerType as Schema) : schema;
}

function enumOf(schema: Schema): readonly string[] | undefined {
  const { def } = bare(schema)._zod;
  return def.type === 'enum' ? Object.values(def.entries).map(String) : undefined;
}

function descriptionOf(schema: Schema): string | undefined {
  const own = z.globalRegistry.get(schema)?.description;
  const { def } = schema._zod;
  if (own !== undefined) return own;
  return def.type === 'optional' || def.type === 'default'
    ? descriptionOf(def.innerType as Schema)
    : undefined;
}

function fieldsOf(schema: Schema): string[] {
  const { def } = bare(schema)._zod;
  if (def.type === 'object') return Object.keys(def.shape);
  if (def.type === 'record') {
    const key = (def.keyType as Schema)._zod.def;
    if (key.type === 'enum') return Object.values(key.entries).map(String);
  }
  return [];
}

/** The option of a discriminated union that a part of a document is meant to be. */
function optionOf(
  def: z.core.$ZodDiscriminatedUnionDef,
  value: unknown,
  key: string | number | undefined,
): Schema | undefined {
  const name = valueAt(value, [def.discriminator]) ?? key;
  return (def.options as Schema[]).find((option) => namesOf(option, def).includes(name));
}

/** The values of that field which stand for an option. */
function namesOf(option: Schema, { discriminator }: z.core.$ZodDiscriminatedUnionDef): unknown[] {
  const { def } = option._zod;
  const field = def.type === 'object' ? (def.shape[discriminator] as Schema)._zod.def : undefined;
  return field?.type === 'literal' ? field.values : [];
}

/**
 * The schema that a path leads to; `undefined` where none is.
 * @param value what stands there. @param key the last step to it, which may say what it is.
 */
function schemaAt(
  schema: Schema,
  path: Path,
  value: unknown,
  key?: string | number,
): Schema | undefined {
  const [step, ...rest] = path;
  const { def } = bare(schema)._zod;
  if (def.type === 'union' && 'discriminator' in def) {
    const union = def as z.core.$ZodDiscriminatedUnionDef;
    const option = optionOf(union, value, key);
    if (option) return schemaAt(option, path, value);
    if (step !== union.discriminator) return step === undefined ? schema : undefined;
    const names = (union.options as Schema[]).flatMap((o) => namesOf(o, union)).map(String);
    return z.enum(names).check(z.describe(`the ${step}`)) as unknown as Schema;
  }
  if (step === undefined) return schema;
  let next: unknown;
  if (def.type === 'object') next = def.shape[step];
  else if (def.type === 'record') next = def.valueType;
  else if (def.type === 'array') next = def.element;
  else if (def.type === 'union') {
    const list = def.options.find((o) => (o as Schema)._zod.def.type === 'array');
    return list && schemaAt(list as Schema, path, value);
  }
  return next === undefined
    ? undefined
    : schemaAt(next as Schema, rest, valueAt(value, [step]), step);
}
