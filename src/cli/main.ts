// The command line: reads the arguments, runs the verb, prints. Everything else is beside it.
import { sentence, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import { dayOf } from '#engine/lot-storage.ts';
import { designText } from './design.ts';
import { inputName, readStock, readText } from './input.ts';
import { HELP, commandOf, type Command } from './options.ts';
import { predictText, type Answered } from './predict.ts';
import { progressLine } from './progress.ts';
import { saveText } from './save.ts';
import { sourceText } from './source.ts';
import { swapText } from './swap.ts';
import { tradeoffText } from './tradeoff.ts';

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

function answered(
  command: Command,
  text: string,
  stock: Candidate[] | undefined,
): Outcome<Answered> {
  const { verb, timeLimitSeconds, alternatives, tradeoff, explain, holdInShare } = command;
  if (verb === 'predict') return predictText(text, command.doubt);
  const line = progressLine(process.stderr);
  const request = {
    ...(stock && { stock }),
    options: timeLimitSeconds === undefined ? {} : { timeLimitMs: timeLimitSeconds * 1000 },
    tell: line.tell,
  };
  try {
    if (verb === 'swap') return swapText(text, request);
    if (verb === 'save') return saveText(text, request);
    if (tradeoff) return tradeoffText(text, tradeoff, request);
    const options = {
      ...request.options,
      ...(alternatives && { alternatives }),
      ...(explain && { explain }),
      ...(holdInShare && { holdInShare }),
    };
    return designText(text, { ...request, options });
  } finally {
    line.clear();
  }
}

function print({ json, text }: Answered, asJson: boolean): number {
  process.stdout.write(asJson ? jsonText(json) : text);
  return ANSWERED;
}

function run(command: Command): number {
  const { verb, file, json, stock } = command;
  if (verb === 'source') {
    const found = sourceText(file);
    return found.ok ? print(found.value, json) : refuse('source', found.problems);
  }
  const text = readText(file);
  const lots = stock === undefined ? undefined : readStock(stock, dayOf(new Date()));
  if (!text.ok) refuse(inputName(file), text.problems);
  if (lots && !lots.ok) refuse(inputName(stock!), lots.problems);
  if (!text.ok || (lots && !lots.ok)) return BAD_INPUT;
  const answer = answered(command, text.value, lots?.value);
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
  else process.exitCode = run(command.value);
} catch (fault) {
  const reason = fault instanceof Error ? fault.message : String(fault);
  process.stderr.write(`Something broke here, and not in your input: ${reason}\n`);
  process.exitCode = BROKEN;
}
