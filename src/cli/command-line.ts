// One command from its arguments to its exit code: reads them, runs the verb, prints. Everything else is
// beside it, and loaded only when a verb needs it: help and a wrong option wait for no table.
import { reasonOf, sentence, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { compoundsAlone, inputName, readText, type Streams } from './input.ts';
import { HELP, commandOf, type Command } from './options.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Answered } from './predict.ts';
import { TimeLimit } from './time-limit.ts';

const ANSWERED = 0;
const BROKEN = 1;
const BAD_INPUT = 2;

/** When the process began and when it had started, as `performance.now` tells it. */
interface Moments {
  readonly began: number;
  readonly started: number;
}

function refuse({ err }: Streams, source: string, problems: readonly Problem[]): number {
  err.write(problems.map((p) => `${sentence(source, p)}\n`).join(''));
  return BAD_INPUT;
}

/** The document as JSON. A figure that is not finite must not leave the program unseen. */
function jsonText(value: unknown): string {
  const finite = (key: string, part: unknown) => {
    if (typeof part === 'number' && !Number.isFinite(part)) throw new Error(`${key} is ${part}`);
    return part;
  };
  return `${JSON.stringify(value, finite, 2)}\n`;
}

/** The time limit of a command, where it has one. @param moments when the process began, and had started. */
function limitOf(command: Command, { began, started }: Moments): { limit?: TimeLimit } {
  const { verb, timeLimitSeconds: seconds, alternatives, holdInShare } = command;
  if (seconds === undefined) return {};
  const blends = alternatives ?? (verb === 'save' || holdInShare !== undefined ? 2 : 1);
  return { limit: new TimeLimit(seconds, began, started, blends) };
}

async function answered(
  command: Command,
  base: Model,
  text: string,
  stock: Candidate[] | undefined,
  { err }: Streams,
  moments: Moments,
): Promise<Outcome<Answered>> {
  const { verb, alternatives, tradeoff, explain, holdInShare } = command;
  if (verb === 'predict')
    return (await import('./predict.ts')).predictText(text, base, command.doubt);
  if (verb === 'learn') return (await import('./learn.ts')).learnText(base, text, new Date());
  const line = (await import('./progress.ts')).progressLine(err);
  const request = {
    base,
    ...(stock && { stock }),
    options: {},
    ...limitOf(command, moments),
    tell: line.tell,
  };
  try {
    if (verb === 'swap') return (await import('./swap.ts')).swapText(text, request);
    if (verb === 'save')
      return (await import('./save.ts')).saveText(text, request, command.saveAtLeast);
    if (verb === 'season') {
      const { today } = await import('./stock.ts');
      return (await import('./season.ts')).seasonText(text, request, today());
    }
    if (tradeoff) return (await import('./tradeoff.ts')).tradeoffText(text, tradeoff, request);
    if (verb === 'sheet') {
      const { sheetForm: form = 'text', brewedOn } = command;
      const asked = { ...request, form, brewedOn, now: new Date() };
      return (await import('./sheet.ts')).sheetVerb(text, asked);
    }
    const options = {
      ...(alternatives && { alternatives }),
      ...(explain && { explain }),
      ...(holdInShare && { holdInShare }),
    };
    return (await import('./design.ts')).designText(text, { ...request, options });
  } finally {
    line.clear();
  }
}

/** The lots of a stock list; what had to be assumed goes to standard error. */
async function lotsOf(stock: string, base: Model, streams: Streams): Promise<Outcome<Candidate[]>> {
  const { readStock, today } = await import('./stock.ts');
  const read = readStock(stock, base, today(), streams);
  if (!read.ok) return read;
  for (const note of read.value.notes) streams.err.write(`${inputName(stock)}: ${note}\n`);
  return success(read.value.candidates);
}

/** The model with what tastings taught, where a file of it is given. */
async function taughtBy(
  { learned: file }: Command,
  published: Model,
  streams: Streams,
): Promise<Outcome<Model>> {
  if (file === undefined) return success(published);
  const text = readText(file, streams);
  if (!text.ok) return text;
  const { readLearned } = await import('#shared/reading/read-learned.ts');
  const learned = readLearned(text.value);
  if (!learned.ok) return learned;
  const { learnedModel } = await import('#engine/doubt/learned.ts');
  return success(learnedModel(published, learned.value));
}

function print({ out }: Streams, { json, text }: Answered, asJson: boolean): number {
  out.write(asJson ? jsonText(json) : text);
  return ANSWERED;
}

async function run(command: Command, streams: Streams, began: number): Promise<number> {
  const { verb, file, json, stock, own } = command;
  const mine = (await import('./own.ts')).baseModel(own ?? [], streams);
  if (!mine.ok) return refuse(streams, 'own tables', mine.problems);
  const plain = mine.value;
  const moments = { began, started: performance.now() };
  if (verb === 'source') {
    const found = (await import('./source.ts')).sourceText(file, plain);
    return found.ok ? print(streams, found.value, json) : refuse(streams, 'source', found.problems);
  }
  const taught = await taughtBy(command, plain, streams);
  if (!taught.ok) return refuse(streams, inputName(command.learned!), taught.problems);
  const base = taught.value;
  if (verb === 'hops') {
    const { hopsTable } = await import('./hops.ts');
    return print(streams, hopsTable(base, command.doseGPerL, command.compoundsOnly), json);
  }
  if (verb === 'convert' || verb === 'check') {
    const { checkText, convertText, fileText } = await import('./convert.ts');
    const text = fileText(file, streams);
    if (!text.ok) return refuse(streams, inputName(file), text.problems);
    if (verb === 'check') {
      const checked = checkText(base, text.value);
      return checked.ok
        ? print(streams, checked.value, json)
        : refuse(streams, inputName(file), checked.problems);
    }
    const converted = convertText(base, text.value, command.to!);
    if (!converted.ok) return refuse(streams, inputName(file), converted.problems);
    for (const note of converted.value.notes) streams.err.write(`${inputName(file)}: ${note}\n`);
    streams.out.write(converted.value.text);
    return ANSWERED;
  }
  const given = readText(file, streams);
  const text = given.ok && command.compoundsOnly ? success(compoundsAlone(given.value)) : given;
  const lots = stock === undefined ? undefined : await lotsOf(stock, base, streams);
  if (!text.ok) refuse(streams, inputName(file), text.problems);
  if (lots && !lots.ok) refuse(streams, inputName(stock!), lots.problems);
  if (!text.ok || (lots && !lots.ok)) return BAD_INPUT;
  const answer = await answered(command, base, text.value, lots?.value, streams, moments);
  if (!answer.ok) return refuse(streams, inputName(file), answer.problems);
  return print(streams, answer.value, json);
}

/**
 * Runs the command line with its arguments; gives the exit code. A fault inside is reported, not thrown.
 * @param began when its time began, as `performance.now` tells it.
 */
export async function runCommandLine(
  args: readonly string[],
  streams: Streams,
  began = performance.now(),
): Promise<number> {
  const command = commandOf(args);
  if (!command.ok) return refuse(streams, 'command line', command.problems);
  try {
    if (command.value !== 'help') return await run(command.value, streams, began);
    streams.out.write(HELP);
    return ANSWERED;
  } catch (fault) {
    const reason = reasonOf(fault);
    streams.err.write(`The program failed, not because of your input: ${reason}\n`);
    return BROKEN;
  }
}
