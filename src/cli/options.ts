// What may stand on the command line, and the help that says so.
import { TRADEOFFS, type Tradeoff } from '#shared/answers/comparison.ts';
import { SAVING_MAX } from '#shared/schemas/asked.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { given } from '#shared/given.ts';
import { nearestName } from '#shared/names.ts';
import { z } from '#shared/zod.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { BLENDS_MAX } from '#optimize/questions/options.ts';

export const VERBS = [
  'predict',
  'design',
  'swap',
  'save',
  'season',
  'sheet',
  'learn',
  'convert',
  'check',
  'hops',
  'source',
] as const;
export type Verb = (typeof VERBS)[number];

/** How a brew sheet is written. */
export type SheetForm = 'text' | 'ics' | 'html';

/** What a schedule is converted to. */
export const CONVERT_TO = ['beerjson', 'beerxml', 'csv', 'json'] as const;
export type ConvertTo = (typeof CONVERT_TO)[number];

export interface Command {
  readonly verb: Verb;
  /** Of convert. */
  readonly to?: ConvertTo;
  /** Path of the document, or `-` for standard input; of `source` the id; empty of `hops`. */
  readonly file: string;
  readonly json: boolean;
  readonly stock?: string;
  /** File of what tastings taught. */
  readonly learned?: string;
  /** Files of own tables. */
  readonly own?: readonly string[];
  readonly timeLimitSeconds?: number;
  /** Blends wanted of a design. */
  readonly alternatives?: number;
  /** The curve wanted of a design instead of one blend. */
  readonly tradeoff?: Tradeoff;
  /** Whether the reasons behind a blend are wanted, and of which hops not in it. */
  readonly explain?: { readonly whyNot: readonly string[] };
  /** Whether what moves a prediction is wanted. */
  readonly doubt?: boolean;
  /** Share of lots in which a blend is to hold, 0 to 1. */
  readonly holdInShare?: number;
  /** Part of the cost that a saving is to reach, 0 to 1. */
  readonly saveAtLeast?: number;
  /** Dose of the table of hops, g/L. */
  readonly doseGPerL?: number;
  /** Whether what tasters report is left out, whatever the document says. */
  readonly compoundsOnly?: boolean;
  /** How the brew sheet is written where it is not JSON. */
  readonly sheetForm?: SheetForm;
  /** The brew day of the sheet, an ISO day. */
  readonly brewedOn?: string;
}

export const HELP = `Predict what a hop schedule gives, design the lightest blend for a wish, replace a hop, or save.

  npm run --silent cli -- predict FILE [--json] [--doubt]
  npm run --silent cli -- design FILE [--json] [--stock FILE.csv] [--time-limit SECONDS]
                                      [--alternatives N | --tradeoff closeness|cost|chance]
                                      [--why] [--why-not HOP] [--hold PERCENT]
  npm run --silent cli -- swap FILE [--json] [--stock FILE.csv] [--time-limit SECONDS]
  npm run --silent cli -- save FILE [--json] [--stock FILE.csv] [--time-limit SECONDS]
                                    [--goal PERCENT]
  npm run --silent cli -- season FILE [--json] [--stock FILE.csv] [--time-limit SECONDS]
  npm run --silent cli -- sheet FILE [--json|--ics|--html] [--date YYYY-MM-DD] [--stock FILE.csv]
  npm run --silent cli -- learn TASTINGS [--json]
  npm run --silent cli -- convert FILE --to beerjson|beerxml|csv|json
  npm run --silent cli -- check FILE [--json]
  npm run --silent cli -- hops [--json] [--dose G_PER_L]
  npm run --silent cli -- source ID [--json]

FILE is a JSON document, or - for standard input.
  predict  a schedule: batch, stages and additions
  design   a brief: batch, stages, target, limits and candidates
           (examples: seeds/briefs)
  swap     a schedule with "replace": the name of a hop, and candidates: what comes closest to it
  save     a schedule with prices, perhaps with candidates: the cheapest and the lightest blend
           that nobody should tell from it (examples of both: seeds/schedules)
  season   several briefs with their brew days and the lots they share: which lots go into which
           batch, aged to its day, and what to buy by when (example: seeds/seasons)
  sheet    a schedule, or a brief for the sheet of its first blend: the brew day step by step
  learn    batches as brewed with their tastings and lab figures, or a workspace the page saved:
           what they change in the model, and what to measure next (example: seeds/tastings)
  convert  a schedule, a BeerJSON or a BeerXML recipe to another of them, or to a list; the rest of
           a recipe is kept, or named where the other format cannot hold it
  check    whether a file is valid: brief, schedule, workspace, BeerJSON or BeerXML recipe
  hops     every hop of the table alone as a dry hop, with its aroma and its figures
  source   what an id stands for: value, range, status, sources, formula. Every JSON answer has
           "provenance", which gives the ids of each figure by a pattern of its path

  --json                one JSON document instead of text
  --stock FILE.csv      the candidates are the lots of a stock list as people export it, headed in
                        English, German, Czech, French or Spanish, or by our names:
                        hop,form,grams_on_hand,price_per_kg,package_g,harvest_year, any analysis
                        figure like alpha_pct, and how each lot was kept: by dates
                        (opened_on,storage_temp_c,pack), counted up to today, or in
                        months (storage_months,storage_temp_c,packed), or by storage_index. What
                        is left out or assumed goes to standard error. The stock as the page
                        saves it is such a list (example: seeds/stock.csv)
  --learned FILE        use what tastings taught, as the page does: what learn --json wrote, the
                        learning the page saved, or a workspace
  --own FILE            tables of your own that add to ours or replace them: hops, figures, parameters,
                        thresholds, descriptors, prices, as CSV with the columns of data/ or as
                        the page saves them (may be given again; example: seeds/own)
  --time-limit SECONDS  answer after this long, start and reading included, with the gap reached
  --alternatives N      up to ${BLENDS_MAX} blends; each does without the main hop of every blend before it
  --tradeoff WHAT       the curve of hop weight against closeness to the wishes or against cost, or of
                        the least blend against the share of lots in which it holds (chance)
  --doubt               what moves each aroma of a prediction, and which lot analysis would help
  --why                 what each addition brings, what each wish costs, what clashes
  --why-not HOP         the same, and why this hop is not in the blend (may be given again)
  --goal PERCENT        the least part of the cost to save; if no unnoticed blend saves it, which single
                        wish, bitterness or number of hops to loosen for it, and how far
  --hold PERCENT        the blend whose wishes hold in at least this share of lots, and what it
                        takes more than the one for an average lot
  --dose G_PER_L        the dose of each dry hop of the verb hops; 4 g/L if left out
  --compounds-only      leave out what tasters report of the varieties, as "compounds_only": true
                        in the document does
  --ics, --html         the sheet as a calendar (RFC 5545) or as a page to print
  --date YYYY-MM-DD     the brew day of the sheet; a calendar begins today if left out
  --help                this text

Exit 0: answered, also when no blend meets every wish (the status then says "closest").
Exit 1: the program failed. Exit 2: the input is at fault; nothing was written.
`;

/** Longest time limit taken, a day. */
const SECONDS_MAX = 86_400;
const VALUED = [
  '--stock',
  '--learned',
  '--time-limit',
  '--alternatives',
  '--tradeoff',
  '--why-not',
  '--own',
  '--hold',
  '--goal',
  '--dose',
  '--date',
  '--to',
] as const;
/** Options without a value that only some verbs take. */
const FLAGS = ['--why', '--doubt', '--compounds-only', '--ics', '--html'] as const;
const OPTIONS: readonly string[] = ['--json', ...FLAGS, ...VALUED, '--help'];
/** Verbs that take an option. */
const TAKEN_BY: Readonly<
  Record<(typeof VALUED)[number] | (typeof FLAGS)[number], readonly Verb[]>
> = {
  '--compounds-only': ['predict', 'design', 'swap', 'save', 'sheet', 'hops'],
  '--ics': ['sheet'],
  '--html': ['sheet'],
  '--date': ['sheet'],
  '--to': ['convert'],
  '--dose': ['hops'],
  '--learned': ['predict', 'design', 'swap', 'save', 'season', 'sheet', 'hops'],
  '--stock': ['design', 'swap', 'save', 'season', 'sheet'],
  '--time-limit': ['design', 'swap', 'save', 'season', 'sheet'],
  '--alternatives': ['design'],
  '--tradeoff': ['design'],
  '--why': ['design'],
  '--doubt': ['predict'],
  '--why-not': ['design'],
  '--own': [...VERBS],
  '--hold': ['design'],
  '--goal': ['save'],
};
const SEE_HELP = 'Run with --help to see what is possible';

/** Reads the arguments after the program's name. `help` when the help is asked for. */
export function commandOf(args: readonly string[]): Outcome<Command | 'help'> {
  const problems: Problem[] = [];
  const words: string[] = [];
  const values: Record<string, string> = {};
  const whyNot: string[] = [];
  const own: string[] = [];
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
    } else if ((VALUED as readonly string[]).includes(option)) {
      const value = attached ?? rest.shift();
      const missing = value === undefined || value === '';
      if (missing) fault(option, 'its value is missing', `Write it behind: ${option} VALUE`);
      else if (option === '--why-not') values[option] = whyNot[whyNot.push(value) - 1]!;
      else if (option === '--own') values[option] = own[own.push(value) - 1]!;
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
  else if (verb === 'hops') {
    if (file !== undefined) fault('', `"${file}" is one word too many`, 'hops takes no file');
  } else if (file === undefined) {
    if (verb === 'source') fault('', 'the id is missing', 'Write it behind source');
    else fault('', 'the file is missing', `Write it behind ${verb}, or - for standard input`);
  }
  if (more.length > 0) fault('', `"${more[0]}" is one word too many`, 'Give one file');
  for (const option of [...VALUED, ...FLAGS]) {
    const verbsTaking = TAKEN_BY[option];
    if (isVerb(verb) && option in values && !verbsTaking.includes(verb)) {
      const cure = `Leave it out, or use ${verbsTaking.join(', ')}`;
      fault(option, `${verb} does not take this option`, cure);
    }
  }
  const { '--alternatives': count, '--tradeoff': against } = values;
  const alternatives = count === undefined ? undefined : Number(count);
  if (
    count !== undefined &&
    !(/^\d+$/.test(count) && alternatives! >= 1 && alternatives! <= BLENDS_MAX)
  ) {
    const cure = `Give a whole number from 1 to ${BLENDS_MAX}`;
    fault('--alternatives', `"${count}" is not a number of blends`, cure);
  }
  const tradeoff = TRADEOFFS.find((t) => t === against);
  if (against !== undefined && !tradeoff) {
    fault('--tradeoff', `"${against}" is not a known curve`, `Use one of: ${TRADEOFFS.join(', ')}`);
  }
  if (count !== undefined && against !== undefined) {
    fault('--tradeoff', 'it cannot go with --alternatives', 'Keep one of the two');
  }
  /** The number behind an option; a fault where it is none above 0 and up to `most`. */
  const numberOf = (option: string, most: number, what: string, unit = ''): number | undefined => {
    const text = values[option];
    if (text === undefined) return undefined;
    const number = text.trim() ? Number(text) : NaN;
    if (!(number > 0 && number <= most))
      fault(option, `"${text}" is not a ${what}`, `Give a number${unit} above 0 and up to ${most}`);
    return number;
  };
  const share = numberOf('--hold', 100, 'percentage');
  const goal = numberOf('--goal', SAVING_MAX * 100, 'percentage to save');
  const timeLimitSeconds = numberOf('--time-limit', SECONDS_MAX, 'time', ' of seconds');
  const doseGPerL = numberOf('--dose', DOSE_G_PER_L_MAX, 'dose', ' of g/L');
  const explains = '--why' in values || whyNot.length > 0;
  for (const option of ['--why', '--why-not', '--hold']) {
    if (tradeoff && option in values) {
      fault(option, 'it cannot go with --tradeoff', 'Keep one of the two');
    }
  }
  const forms = ['--json', '--ics', '--html'].filter((option) => option in values);
  if (forms.length > 1) {
    fault(forms[1]!, `it cannot go with ${forms[0]}`, 'Keep one of the two');
  }
  const { '--date': day } = values;
  if (day !== undefined && !z.iso.date().safeParse(day).success) {
    fault('--date', `"${day}" is not a day`, 'Give a day like 2026-04-03');
  }
  const to = CONVERT_TO.find((format) => format === values['--to']);
  if (verb === 'convert' && to === undefined && !problems.some(({ path }) => path === '--to')) {
    const given = values['--to'];
    const message =
      given === undefined ? 'what to convert to is missing' : `"${given}" is not known`;
    fault('--to', message, `Use one of: ${CONVERT_TO.join(', ')}`);
  }
  if (problems.length > 0 || !isVerb(verb)) return failure(...problems);
  return success({
    verb,
    file: file ?? '',
    json: '--json' in values,
    ...given({
      learned: values['--learned'],
      stock: values['--stock'],
      timeLimitSeconds,
      alternatives,
      tradeoff,
      holdInShare: share && share / 100,
      saveAtLeast: goal && goal / 100,
      brewedOn: day,
      to,
      doseGPerL,
    }),
    ...(own.length > 0 ? { own } : {}),
    ...('--doubt' in values ? { doubt: true } : {}),
    ...(explains ? { explain: { whyNot } } : {}),
    ...('--ics' in values ? { sheetForm: 'ics' as const } : {}),
    ...('--html' in values ? { sheetForm: 'html' as const } : {}),
    ...('--compounds-only' in values ? { compoundsOnly: true } : {}),
  });
}
