// Runs once, at build time: every figure of the varieties and what each gives alone on every axis, cut
// to what the page shows.
import { rankedAxes } from '#engine/evidence/ranking.ts';
import { model } from '#engine/tables/model.ts';
import { ANALYTES, AXES } from '#shared/ids.ts';
import type { HopFigure, HopRow, HopSubject } from '#state/reference/hop-list.ts';
import type { PageServerLoad } from './$types';

type HopEntry = readonly [HopSubject, HopFigure];

/** Four digits: more than the page shows, and half of what it has to carry. */
const short = (value: number) => Number(value.toPrecision(4));
const shortened = ({ low, central, high, status }: HopFigure): HopFigure => {
  return { low: short(low), central: short(central), high: short(high), status };
};

function axesOf(hop: string): HopEntry[] {
  const ranked = rankedAxes(model, hop);
  if (!ranked.ok) return [];
  return AXES.map((axis) => {
    const { intensity: central, low, high, status } = ranked.value[axis];
    return [axis, shortened({ low, central, high, status: status ?? 'estimated' })];
  });
}

export const load: PageServerLoad = () => {
  const rows: HopRow[] = model.hops.map((hop) => {
    const offered = hop.missing.length === 0;
    const cells = ANALYTES.flatMap((analyte): HopEntry[] => {
      const cell = hop.cells[analyte];
      return cell ? [[analyte, shortened(cell)]] : [];
    });
    return {
      id: hop.id,
      name: hop.name,
      origin: hop.origin,
      thiolClass: hop.thiolClass,
      offered,
      // Of a hop that lacks a deciding figure an axis would be too low, and would look like one.
      figures: Object.fromEntries(offered ? [...axesOf(hop.name), ...cells] : cells),
    };
  });
  return { rows };
};
