// The rows of the hop table as they are sent to the page of hops: one text, which a browser reads several times as
// fast as four thousand figures written out in the script of the page, and a third as long.
import { ANALYTES, AXES, STATUSES, THIOL_CLASSES } from '#shared/ids.ts';
import type { HopFigure, HopRow, HopSubject } from './hop-list.ts';

const SUBJECTS: readonly HopSubject[] = [...AXES, ...ANALYTES];

/** Low, central, high and the place of the status among all; 0 where there is no figure. */
type SentFigure = readonly [number, number, number, number] | 0;
type SentRow = readonly [
  id: string,
  name: string,
  origin: string | null,
  thiols: number,
  offered: boolean,
  figures: readonly SentFigure[],
];

/** The rows as one text. All are published varieties, so whether a row is a person's own is left out. */
export function sentRows(rows: readonly HopRow[]): string {
  const sent = rows.map(({ id, name, origin, thiolClass, offered, figures }): SentRow => {
    const sentFigures = SUBJECTS.map((subject): SentFigure => {
      const figure = figures[subject];
      if (!figure) return 0;
      return [figure.low, figure.central, figure.high, STATUSES.indexOf(figure.status)];
    });
    return [id, name, origin, THIOL_CLASSES.indexOf(thiolClass), offered, sentFigures];
  });
  return JSON.stringify(sent);
}

/** Reads the rows from such a text. */
export function rowsSent(text: string): HopRow[] {
  return (JSON.parse(text) as SentRow[]).map(([id, name, origin, thiols, offered, sent]) => {
    const figures: Partial<Record<HopSubject, HopFigure>> = {};
    sent.forEach((figure, i) => {
      if (figure === 0) return;
      const [low, central, high, status] = figure;
      figures[SUBJECTS[i]!] = { low, central, high, status: STATUSES[status]! };
    });
    return { id, name, origin, thiolClass: THIOL_CLASSES[thiols]!, offered, figures };
  });
}
