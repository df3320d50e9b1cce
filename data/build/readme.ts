// The part of README.md that says how far to trust the program: its shares, errors and scores, as the
// generated tables have them. Everything between the two marks in README.md is this text.
import compounds from '#data/generated/compounds.json' with { type: 'json' };
import errors from '#data/generated/estimate-errors.json' with { type: 'json' };
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import board from '#data/generated/scoreboard.json' with { type: 'json' };
import { REQUIRED_ANALYTES, type Status } from '#shared/ids.ts';
import { foldText } from '#shared/evidence/scoreboard.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';

const BEGIN = '<!-- written by npm run readme -->\n\n';
const END = '\n<!-- end of what npm run readme writes -->';
const WIDTH = 104;

const hops = hopRows as unknown as Hop[];

/** Share of the cells of one of these statuses, like `17 %`. */
function share(cells: readonly Cell[], ...statuses: Status[]): string {
  const count = cells.filter(({ status }) => statuses.includes(status)).length;
  return `${Math.round((count / cells.length) * 100)} %`;
}

function varieties(): string {
  const offered = hops.filter((hop) => hop.missing.length === 0);
  const deciding = (hop: Hop) => REQUIRED_ANALYTES.map((analyte) => hop.cells[analyte]!);
  const cells = offered.flatMap(deciding);
  const wasRead = ({ status }: Cell) => status === 'seen' || status === 'derived';
  const allRead = offered.filter((hop) => deciding(hop).every(wasRead)).length;
  return `The table holds ${hops.length} varieties; ${offered.length} have the six figures needed to be offered
    (alpha acids, total oil, myrcene, humulene, linalool, geraniol). Of those deciding figures
    **${share(cells, 'memory')} are recalled from memory** and ${share(cells, 'seen', 'derived')} were read in
    a source. Only ${allRead} varieties have all six read.`;
}

function allFigures(): string {
  const cells = hops.flatMap((hop) => Object.values(hop.cells) as Cell[]);
  const off = (compound: string) =>
    errors
      .find(({ analyte }) => analyte === `${compound}_pct_of_oil`)!
      .medianFold!.toFixed(1)
      .concat(` (${compound})`);
  return `Of all figures in the table ${share(cells, 'seen', 'derived')} were read or derived from a source,
    ${share(cells, 'memory')} are recalled, and ${share(cells, 'estimated')} are estimates by a stated rule,
    because nobody gave a figure for that variety. Where enough is known to check by leaving varieties out, an
    estimate is off by a factor of ${off('linalool')}, ${off('geraniol')} or ${off('myrcene')} in the middle
    case; of free thiols too little is known to check.`;
}

function thresholds(): string {
  const known = compounds.filter(({ threshold }) => threshold !== null).length;
  return `Of the ${compounds.length} compounds ${known} have an odour threshold in beer; published thresholds
    differ by up to a factor of a hundred.`;
}

function score(): string {
  const { all, independent, medianFold, numeric, independentNumeric } = board;
  const held = independentNumeric.held;
  return `Held against published experiments, ${all.held} of ${all.of} predictions hold, but
    ${independent.held} of ${independent.of} where the experiment had no part in setting the program's
    figures. The median figure is off by a factor of ${foldText(medianFold)}, but ${independentNumeric.of} of
    ${numeric.of} are from such experiments, and of these ${held} ${held === 1 ? 'holds' : 'hold'}: the program
    keeps no balance of what leaves the hop and does not stay in the beer. Only abstracts could be read. Every
    miss has its reason in [data/published/](data/published/).`;
}

function reported(): string {
  const offered = hops.filter((hop) => hop.missing.length === 0);
  const wasRead = (id: string) => !id.startsWith('MEMORY-') && id !== 'CALC';
  const witnesses = ({ reported: of }: Hop) => Object.values(of).flatMap(({ sources }) => sources);
  const read = offered.filter((hop) => witnesses(hop).some(wasRead)).length;
  const { all, compoundsAlone, sourcesLeftOut, memoryLeftOut, hidden } = board.tasters;
  const of = ({ share }: { readonly share: number }) => `${Math.round(100 * share)} %`;
  return `What compounds do not explain of a variety rests on what tasters say of it (status \`reported\`): words
    of panels, handbooks or breeders for ${read} of the ${offered.length} varieties offered, for the others of
    memory alone, fitted to a signal per gram. It holds no measurement; a switch leaves it out. A note that
    tasters name stands higher, among all hops, than one they do not name in ${of(all)} of pairs (a coin: 50 %),
    in ${of(sourcesLeftOut)} where the source asked was left out of the fit, in ${of(hidden)} where a third of
    all words was, and in ${of(memoryLeftOut)} where all that is recalled was asked and left out;
    compounds alone reach ${of(compoundsAlone)}.`;
}

/** A text as an item of a list, in lines of `WIDTH` at most. */
function item(text: string): string {
  const lines = ['-'];
  for (const word of text.split(/\s+/)) {
    const longer = `${lines.at(-1)} ${word}`;
    if (longer.length <= WIDTH) lines[lines.length - 1] = longer;
    else lines.push(`  ${word}`);
  }
  return `${lines.join('\n')}\n`;
}

/**
 * README.md with the figures of today.
 * @throws where the marks are not there once each: then nothing may be written.
 */
export function withFigures(readme: string): string {
  const [before, rest, more] = readme.split(BEGIN);
  const [, after, further] = (rest ?? '').split(END);
  if (before === undefined || after === undefined || more !== undefined || further !== undefined)
    throw new Error('README.md: the marks around the written figures are not there once each');
  const yields =
    'Most stage yields, and nearly all about bound thiols, are known to an order of magnitude.';
  const items = [varieties(), allFigures(), thresholds(), yields, reported(), score()];
  return `${before}${BEGIN}${items.map(item).join('')}${END}${after}`;
}
