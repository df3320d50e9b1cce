// Runs once, at build time: the table and the map of the varieties, cut to what the page shows.
import { COMPARED_PARTS, comparedOf, hopMap } from '#engine/lot/likeness.ts';
import { model } from '#engine/tables/model.ts';
import { HOP_COLUMNS, type HopFigure, type HopRow } from '#state/reference/hop-list.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = () => {
  const rows: HopRow[] = model.hops.map((hop) => ({
    id: hop.id,
    name: hop.name,
    origin: hop.origin,
    thiolClass: hop.thiolClass,
    offered: hop.missing.length === 0,
    figures: Object.fromEntries(
      HOP_COLUMNS.flatMap((column) => {
        const cell = hop.cells[column];
        if (!cell) return [];
        const { low, central, high, status } = cell;
        return [[column, { low, central, high, status } satisfies HopFigure]];
      }),
    ),
  }));
  const compared = model.hops.flatMap((hop) => comparedOf(hop) ?? []);
  const { places, directions } = hopMap(compared);
  return {
    rows,
    map: {
      places: places.map(({ compared: { hop }, at }) => ({ id: hop.id, name: hop.name, at })),
      directions: directions.map(({ share, loadings }) => ({
        share,
        loadings: COMPARED_PARTS.map((part) => ({ part, loading: loadings[part] })),
      })),
    },
  };
};
