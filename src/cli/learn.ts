// The verb learn: what tastings and lab figures of one's own batches change.
import { withProvenance } from '#shared/evidence/provenance.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readTastings } from '#shared/reading/read-tastings.ts';
import type { TastedBrew } from '#shared/schemas/tastings.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import type { Model } from '#engine/tables/model.ts';
import { learnFrom } from '#engine/learning/brews.ts';
import type { LabId } from '#engine/learning/evidence.ts';
import type { Lesson } from '#engine/learning/learn.ts';
import type { NextEvidence } from '#engine/learning/next.ts';
import { compoundName } from '#engine/tables/names.ts';
import type { Answered } from './predict.ts';
import { page } from '#cli/print/prediction.ts';
import { alike, band, figure, table, wrapped } from '#cli/print/table.ts';

/** Figures shown in the text; the JSON document holds all. */
const MOVED_SHOWN = 12;

const nameOf = (id: string) => {
  const found = resolveProvenance(id);
  return found.ok ? found.value.name : id;
};

const labName = (of: LabId) => (of === 'ibu' ? 'bitterness' : compoundName(of));

function headLines({ error, agreement, learned }: Lesson): string[] {
  const tasters = Object.entries(learned.tasters).map(
    ([taster, { bias, bias_sd: sd, noise }]) =>
      `  ${taster} scores ${figure(Math.abs(bias))} ${bias < 0 ? 'low' : 'high'} (± ${figure(sd)}), scatters by ${figure(noise)}`,
  );
  return [
    `Learned from ${learned.from.length} ${learned.from.length === 1 ? 'batch' : 'batches'}`,
    ...(error
      ? [
          '',
          'Mean distance between panel and prediction, in points',
          `  as published                         ${figure(error.before)}`,
          `  with what these beers teach ${figure(error.after)}`,
          `  each beer by what the others teach   ${figure(error.ahead)}`,
        ]
      : []),
    ...(tasters.length > 0 ? ['', 'Tasters', ...tasters] : []),
    ...(agreement === null
      ? []
      : [`  They agree by ${figure(agreement)} (intraclass correlation, 1 is full agreement)`]),
  ];
}

/** Said where the fit did not come to its end. */
const STOPPED =
  'The fit stopped before its end: evidence and model disagree, and no change of the figures brings them closer. What was learned is to be trusted less.';

function disagreementLines(
  { disagreements, settled }: Lesson,
  called: (id: string) => string,
): string[] {
  const stopped = settled ? [] : wrapped(STOPPED);
  if (disagreements.length === 0) return stopped;
  return [
    'EVIDENCE AND MODEL DISAGREE: nothing within the published ranges explains it',
    ...disagreements.flatMap(({ at, side, chance }) => {
      const of = 'lab' in at ? `, ${labName(at.lab)}` : '';
      const where = 'axis' in at ? AXIS_NAMES[at.axis] : `${called(at.batch)}${of}`;
      const odds = `by chance in ${figure(chance * 100)} of 100 cases`;
      return wrapped(`${where}: the evidence lies ${side} what the model can say (${odds}).`);
    }),
    ...wrapped(
      'Check what was brewed and who tasted; if both are right, trust the model less there.',
    ),
    ...stopped,
  ];
}

function movedLines({ moved }: Lesson): string[] {
  if (moved.length === 0) return [];
  const shown = moved.slice(0, MOVED_SHOWN);
  const left = moved.length - shown.length;
  return [
    ...table(
      [
        ['What moved', 'published', '10 to 90 %', 'now', '10 to 90 %'],
        ...shown.map(({ id, before, after }) => [
          `  ${nameOf(id)}`,
          ...[before, after].flatMap(({ low, central, high }) => {
            const format = alike(low, central, high);
            return [format(central), band(low, high, format)];
          }),
        ]),
      ],
      ['left', 'right', 'right', 'right', 'right'],
    ),
    ...(left > 0 ? [`  and ${left} more that moved less; --json has all`] : []),
  ];
}

function evidenceName(kind: NextEvidence['kind']): string {
  return kind === 'taster' ? 'another taster of' : `a lab figure of ${labName(kind)} in`;
}

function nextLines({ next }: Lesson, called: (id: string) => string): string[] {
  if (next.length === 0) return [];
  return [
    'What would teach most next, for the newest beer brewed again',
    ...next.map(
      ({ batch, kind, share, axis, from, to }) =>
        `  ${evidenceName(kind)} ${called(batch)}: ${figure(share * 100)} % of the uncertainty; ` +
        `${spoken(AXIS_NAMES[axis])} from ± ${figure(from)} to ± ${figure(to)}`,
    ),
  ];
}

function beerLines({ beers }: Lesson, called: (id: string) => string): string[] {
  return Object.entries(beers).flatMap(([id, notes], i) =>
    notes.length === 0
      ? []
      : [
          ...(i > 0 ? [''] : []),
          ...table(
            [
              [called(id), 'panel', 'spread', 'published', 'learned'],
              ...notes.map(({ axis, mean, spread, before, after }) => [
                `  ${AXIS_NAMES[axis]}`,
                figure(mean),
                spread === null ? '-' : figure(spread),
                figure(before),
                figure(after),
              ]),
            ],
            ['left', 'right', 'right', 'right', 'right'],
          ),
        ],
  );
}

/** What the batches in a text teach. Fails with every problem of the document. */
export function learnText(base: Model, text: string, now: Date): Outcome<Answered> {
  const read = readTastings(text);
  if (!read.ok) return read;
  const brews: readonly TastedBrew[] = read.value;
  const lesson = learnFrom(base, brews, { version: 1, made: now.toISOString() });
  if (!lesson.ok) return lesson;
  const names = new Map(brews.map(({ id, name }) => [id, name.trim() || id]));
  const called = (id: string) => names.get(id) ?? id;
  const { learned, beers, moved, ...rest } = lesson.value;
  const json = withProvenance('learn', {
    learned,
    ...rest,
    beers: Object.entries(beers).map(([id, notes]) => ({ id, name: called(id), notes })),
    moved: moved.map((figure) => ({ ...figure, name: nameOf(figure.id) })),
  });
  return success({
    json,
    text: page(
      headLines(lesson.value),
      disagreementLines(lesson.value, called),
      beerLines(lesson.value, called),
      movedLines(lesson.value),
      nextLines(lesson.value, called),
    ),
  });
}
