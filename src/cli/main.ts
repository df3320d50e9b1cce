#!/usr/bin/env node
// The command line: reads the arguments, runs the verb, prints. Everything else is beside it, and
// loaded only when a verb needs it: help and a wrong option wait for no table.
import { sentence, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import { compoundsAlone, inputName, readText } from './input.ts';
import { HELP, commandOf, type Command } from './options.ts';
import type { Answered } from './predict.ts';

const ANSWERED = 0;
const BROKEN = 1;
const BAD_INPUT = 2;

function refuse(source: string, problems: readonly Problem[]): number {
  process.stderr.write(problems.map((p) => `${sentence(source, p)}\n`).join(''));
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

async function answered(
  command: Command,
  text: string,
  stock: Candidate[] | undefined,
): Promise<Outcome<Answered>> {
  const { verb, timeLimitSeconds, alternatives, tradeoff, explain, holdInShare } = command;
  if (verb === 'predict') return (await import('./predict.ts')).predictText(text, command.doubt);
  if (verb === 'learn') return (await import('./learn.ts')).learnText(text, new Date());
  const line = (await import('./progress.ts')).progressLine(process.stderr);
  const request = {
    ...(stock && { stock }),
    options: timeLimitSeconds === undefined ? {} : { timeLimitMs: timeLimitSeconds * 1000 },
    tell: line.tell,
  };
  try {
    if (verb === 'swap') return (await import('./swap.ts')).swapText(text, request);
    if (verb === 'save')
      return (await import('./save.ts')).saveText(text, request, command.saveAtLeast);
    if (tradeoff) return (await import('./tradeoff.ts')).tradeoffText(text, tradeoff, request);
    if (verb === 'sheet') {
      const { sheetForm: form = 'text', brewedOn } = command;
      const asked = { ...request, form, brewedOn, now: new Date() };
      return (await import('./sheet.ts')).sheetVerb(text, asked);
    }
    const options = {
      ...request.options,
      ...(alternatives && { alternatives }),
      ...(explain && { explain }),
      ...(holdInShare && { holdInShare }),
    };
    return (await import('./design.ts')).designText(text, { ...request, options });
  } finally {
    line.clear();
  }
}

/** The lots of a stock list; what was read without being told goes to standard error. */
async function lotsOf(stock: string): Promise<Outcome<Candidate[]>> {
  const { readStock, today } = await import('./stock.ts');
  const read = readStock(stock, today());
  if (!read.ok) return read;
  for (const note of read.value.notes) process.stderr.write(`${inputName(stock)}: ${note}\n`);
  return success(read.value.candidates);
}

function print({ json, text }: Answered, asJson: boolean): number {
  process.stdout.write(asJson ? jsonText(json) : text);
  return ANSWERED;
}

async function run(command: Command): Promise<number> {
  const { verb, file, json, stock } = command;
  if (verb === 'source') {
    const found = (await import('./source.ts')).sourceText(file);
    return found.ok ? print(found.value, json) : refuse('source', found.problems);
  }
  if (verb === 'hops') {
    const { hopsTable } = await import('./hops.ts');
    return print(hopsTable(command.doseGPerL, command.compoundsOnly), json);
  }
  if (verb === 'convert' || verb === 'check') {
    const { checkText, convertText, fileText } = await import('./convert.ts');
    const text = fileText(file);
    if (!text.ok) return refuse(inputName(file), text.problems);
    if (verb === 'check') {
      const checked = checkText(text.value);
      return checked.ok ? print(checked.value, json) : refuse(inputName(file), checked.problems);
    }
    const converted = convertText(text.value, command.to!);
    if (!converted.ok) return refuse(inputName(file), converted.problems);
    for (const note of converted.value.notes) process.stderr.write(`${inputName(file)}: ${note}\n`);
    process.stdout.write(converted.value.text);
    return ANSWERED;
  }
  const given = readText(file);
  const text = given.ok && command.compoundsOnly ? success(compoundsAlone(given.value)) : given;
  const lots = stock === undefined ? undefined : await lotsOf(stock);
  if (!text.ok) refuse(inputName(file), text.problems);
  if (lots && !lots.ok) refuse(inputName(stock!), lots.problems);
  if (!text.ok || (lots && !lots.ok)) return BAD_INPUT;
  const answer = await answered(command, text.value, lots?.value);
  if (!answer.ok) return refuse(inputName(file), answer.problems);
  return print(answer.value, json);
}

const command = commandOf(process.argv.slice(2));
// A reader that has seen enough (`| head`) is no fault.
process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
  if (fault.code !== 'EPIPE') throw fault;
});
try {
  if (!command.ok) process.exitCode = refuse('command line', command.problems);
  else if (command.value === 'help') process.stdout.write(HELP);
  else process.exitCode = await run(command.value);
} catch (fault) {
  const reason = fault instanceof Error ? fault.message : String(fault);
  process.stderr.write(`Something broke here, and not in your input: ${reason}\n`);
  process.exitCode = BROKEN;
}
