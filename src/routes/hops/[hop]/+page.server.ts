// Runs once for each variety, at build time: its figures among those of all, what is alike, and what
// it gives alone at each stage, with either kind of yeast.
import { error } from '@sveltejs/kit';
import sourceRows from '#data/generated/sources.json' with { type: 'json' };
import { usualOf, type Usual } from '#charts/bars/strip.ts';
import { comparedOf, nearest } from '#engine/lot/likeness.ts';
import { model } from '#engine/tables/model.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { singleHop } from '#engine/answer/single-hop.ts';
import { ANALYTES, YEASTS, type AnalyteId, type YeastId } from '#shared/ids.ts';
import type { Source } from '#shared/schemas/tables.ts';
import type { EntryGenerator, PageServerLoad } from './$types';

const NEIGHBOURS = 6;

const compared = model.hops.flatMap((hop) => comparedOf(hop) ?? []);
const sources = sourceRows as Readonly<Record<string, Source>>;

/** What is usual of each figure, by the varieties that have one of their own. */
const usual = Object.fromEntries(
  ANALYTES.map((analyte) => [
    analyte,
    usualOf(
      model.hops.flatMap(({ cells: { [analyte]: cell } }) =>
        cell && cell.status !== 'estimated' ? [cell.central] : [],
      ),
    ),
  ]),
) as Record<AnalyteId, Usual | null>;

export const entries: EntryGenerator = () => model.hops.map(({ id }) => ({ hop: id }));

export const load: PageServerLoad = ({ params }) => {
  const hop = model.hops.find(({ id }) => id === params.hop);
  if (!hop) error(404, `The hop table has no variety "${params.hop}"`);
  const place = comparedOf(hop);
  const used = new Set([
    ...Object.values(hop.cells).flatMap((cell) => cell.sources),
    ...hop.precursor.sources,
  ]);
  const alone = Object.fromEntries(
    YEASTS.map((yeast) => {
      const given = singleHop(model, hop.name, hop.forms[0]!, yeast);
      return [yeast, given.ok ? given.value : null];
    }),
  ) as Record<YeastId, (ReturnType<typeof singleHop> & { ok: true })['value'] | null>;
  return {
    hop: {
      id: hop.id,
      name: hop.name,
      origin: hop.origin,
      forms: hop.forms,
      missing: hop.missing,
      thiolClass: hop.thiolClass,
      precursor: hop.precursor,
    },
    figures: ANALYTES.flatMap((analyte) => {
      const cell = hop.cells[analyte];
      return cell ? [{ analyte, ...cell, usual: usual[analyte] }] : [];
    }),
    others: ['keeping', 'precursor'].flatMap((end) => {
      const found = resolveProvenance(`cell/${hop.id}/${end}`);
      return found.ok && 'status' in found.value ? [found.value] : [];
    }),
    neighbours: place
      ? nearest(place, compared, NEIGHBOURS).map(({ hop: { id, name }, distance }) => ({
          id,
          name,
          distance,
        }))
      : null,
    alone,
    sources: [...used].sort().flatMap((id) => sources[id] ?? []),
  };
};
