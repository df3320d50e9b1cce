// What may stand on the command line, and the help that says so.
import { nearestName } from '#shared/names.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';

export const VERBS = ['predict', 'design'] as const;
export type Verb = (typeof VERBS)[number];

export interface Command {
  readonly verb: Verb;
  /** Path of the document, or `-` for standard input. */
  readonly file: string;
  readonly json: boolean;
  readonly stock?: string;
  readonly timeLimitSeconds?: number;
}

export const HELP = `Predict what a hop schedule gives, or design the lightest blend for a wish.

  npm run --silent cli -- predict FILE [--json]
  npm run --silent cli -- design FILE [--json] [--stock FILE.csv] [--time-limit SECONDS]

FILE is a JSON document, or - for standard input.
  predict  a schedule: batch, stages and additions
  design   a brief: batch, stages, target, limits and candidates
           (examples: seeds/briefs)

  --json                one JSON document instead of text
  --stock FILE.csv      the candidates are the lots of a stock list; its first line names the
                        columns: hop,form,grams_on_hand,price_per_kg,harvest_year and any
                        analysis figure like alpha_pct (example: seeds/stock.csv)
  --time-limit SECONDS  stop proving after this long and answer with the gap reached
  --help                this text

Exit 0: answered, also when no blend meets every wish (the status then says "closest").
Exit 1: something broke here. Exit 2: the input is at fault; nothing was written.
`;

/** Longest time limit taken, a day. */
const SECONDS_MAX = 86_400;
const OPTIONS: readonly string[] = ['--json', '--stock', '--time-limit', '--help'];
const SEE_HELP = 'Run with --help to see what is possible';

function timeLimit(value: string): number | undefined {
  const seconds = value.trim() === '' ? NaN : Number(value);
  return seconds > 0 && seconds <= SECONDS_MAX ? seconds : undefined;
}

/** Reads the arguments after the program's name. `help` when the help is asked for. */
export function commandOf(args: readonly string[]): Outcome<Command | 'help'> {
  const problems: Problem[] = [];
  const words: string[] = [];
  const values: Record<string, string> = {};
  const fault = (path: string, message: string, cure = SEE_HELP) =>
    void problems.push({ path, message, cure });
  const rest = [...args];
  for (let arg = rest.shift(); arg !== undefined; arg = rest.shift()) {
    if (arg === '-' || !arg.startsWith('-')) {
      words.push(arg);
      continue;
    }
    const [option, attached] = arg.split(/=(.*)/s) as [string, string | undefined];
    if (!OPTIONS.includes(option) && option !== '-h') {
      const near = nearestName(option, OPTIONS);
      fault(option, 'there is no such option', near ? `Write ${near} if that is meant` : SEE_HELP);
    } else if (option === '--stock' || option === '--time-limit') {
      const value = attached ?? rest.shift();
      const missing = value === undefined || value === '';
      if (missing) fault(option, 'its value is missing', `Write it behind: ${option} VALUE`);
      else if (option in values) fault(option, 'the option is given twice', 'Keep one of them');
      else values[option] = value;
    } else if (attached !== undefined) fault(option, 'it takes no value', `Write ${option} alone`);
    else values[option === '-h' ? '--help' : option] = '';
  }
  if ('--help' in values && problems.length === 0) return success('help');

  const [verb, file, ...more] = words;
  const isVerb = (word: string | undefined): word is Verb =>
    (VERBS as readonly (string | undefined)[]).includes(word);
  const verbs = `Use one of: ${VERBS.join(', ')}`;
  if (verb === undefined) fault('', 'the verb is missing', `${verbs}; --help tells more`);
  else if (!isVerb(verb)) fault('', `there is no verb "${verb}"`, `${verbs}; --help tells more`);
  else if (file === undefined) {
    fault('', 'the file is missing', `Write it behind ${verb}, or - for standard input`);
  }
  if (more.length > 0) fault('', `"${more[0]}" is one word too many`, 'Give one file');
  const seconds = values['--time-limit'];
  for (const option of ['--stock', '--time-limit']) {
    if (verb === 'predict' && option in values) {
      fault(option, 'predict does not take this option', 'Leave it out, or use design');
    }
  }
  if (seconds !== undefined && timeLimit(seconds) === undefined) {
    const cure = `Give a number of seconds above 0 and up to ${SECONDS_MAX}`;
    fault('--time-limit', `"${seconds}" is not a time`, cure);
  }
  if (problems.length > 0 || !isVerb(verb) || file === undefined) return failure(...problems);
  return success({
    verb,
    file,
    json: '--json' in values,
    ...(values['--stock'] === undefined ? {} : { stock: values['--stock'] }),
    ...(seconds === undefined ? {} : { timeLimitSeconds: timeLimit(seconds)! }),
  });
}
