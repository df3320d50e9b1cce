// The varieties as the pages of hops list them, each with what it gives alone on every axis: those of the hop table
// and those of own tables. Loads the hop table.
import { ANALYTES, AXES, type AnalyteId } from '#shared/ids.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import { rankedAxes } from '#engine/evidence/ranking.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import type { HopFigure, HopRow, HopSubject } from './hop-list.ts';

/** Four digits: more than the page shows, in half the bytes. */
const short = (value: number) => Number(value.toPrecision(4));
const shortened = ({ low, central, high, status }: HopFigure): HopFigure => {
  return { low: short(low), central: short(central), high: short(high), status };
};

function axesOf(of: Model, hop: string): [HopSubject, HopFigure][] {
  const ranked = rankedAxes(of, hop);
  if (!ranked.ok) return [];
  return AXES.map((axis) => {
    const { intensity: central, low, high, status } = ranked.value[axis];
    return [axis, shortened({ low, central, high, status: status ?? 'estimated' })];
  });
}

/** A variety as the pages of hops list it. */
export function hopRowOf(of: Model, hop: Hop): HopRow {
  const offered = hop.missing.length === 0;
  const cells = ANALYTES.flatMap((analyte: AnalyteId): [HopSubject, HopFigure][] => {
    const cell = hop.cells[analyte];
    return cell ? [[analyte, shortened(cell)]] : [];
  });
  return {
    id: hop.id,
    name: hop.name,
    origin: hop.origin,
    thiolClass: hop.thiolClass,
    offered,
    // A hop that lacks a deciding figure has no axes: they would be too low, and nobody would see it.
    figures: Object.fromEntries(offered ? [...axesOf(of, hop.name), ...cells] : cells),
  };
}

/** The published rows, changed where there are own figures, and own varieties behind them. */
export function hopRowsWith(rows: readonly HopRow[], own: OwnTables): HopRow[] {
  const { model: of } = ownModel(model, own);
  const changed = of.hops.filter((hop) => !model.hops.includes(hop));
  const mine = new Map(changed.map((hop) => [hop.id, hopRowOf(of, hop)]));
  const known = new Set(rows.map(({ id }) => id));
  const fresh = [...mine.values()].flatMap((row): HopRow[] =>
    known.has(row.id) ? [] : [{ ...row, isOwn: true }],
  );
  return [...rows.map((row) => mine.get(row.id) ?? row), ...fresh];
}
