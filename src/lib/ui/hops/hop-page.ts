// What the page of one hop tells: its figures among those of all, what is alike, what it gives alone at each stage,
// and its sources. At build time of each published hop; in the browser of every hop of a model with own tables,
// for which it loads the hop table.
import publishedSources from '#data/generated/sources.json' with { type: 'json' };
import { usualOf, type Usual } from '#charts/bars/strip.ts';
import { singleHop, type SingleHop } from '#engine/answer/single-hop.ts';
import { resolveProvenance, type FigureFound } from '#engine/evidence/provenance.ts';
import { comparedOf, nearest } from '#engine/lot/likeness.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { ANALYTES, YEASTS, type AnalyteId, type YeastId } from '#shared/ids.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { Cell, Hop, Source } from '#shared/schemas/tables.ts';
import { ownRows } from '#shared/tables/own-tables.ts';
import { toSource } from '#shared/tables/rows.ts';

const NEIGHBOURS = 6;

export interface HopPage {
  readonly hop: Pick<Hop, 'id' | 'name' | 'origin' | 'forms' | 'missing' | 'thiolClass'>;
  /** Whether it is a variety of own tables alone. */
  readonly isOwn: boolean;
  readonly figures: readonly (Cell & {
    readonly analyte: AnalyteId;
    readonly usual: Usual | null;
  })[];
  /** What else is known of it, and no analysis tells. */
  readonly others: readonly FigureFound[];
  /** Nearest first; `null` where too little of its oil is known. */
  readonly neighbours:
    | readonly {
        readonly id: string;
        readonly name: string;
        readonly distance: number;
        readonly isOwn: boolean;
      }[]
    | null;
  readonly alone: Readonly<Record<YeastId, SingleHop | null>>;
  readonly sources: readonly Source[];
}

const published = new Set(model.hops.map(({ id }) => id));

/** What one hop is held against. */
interface Among {
  readonly compared: readonly NonNullable<ReturnType<typeof comparedOf>>[];
  readonly usual: Readonly<Record<AnalyteId, Usual | null>>;
}
const amongs = new WeakMap<Model, Among>();

/** All hops of a model together; of usual figures those that a variety has of its own. */
function amongOf(of: Model): Among {
  const known = amongs.get(of);
  if (known) return known;
  const usual = ANALYTES.map((analyte) => [
    analyte,
    usualOf(
      of.hops.flatMap(({ cells: { [analyte]: cell } }) =>
        cell && cell.status !== 'estimated' ? [cell.central] : [],
      ),
    ),
  ]);
  const among = {
    compared: of.hops.flatMap((hop) => comparedOf(hop) ?? []),
    usual: Object.fromEntries(usual) as Among['usual'],
  };
  amongs.set(of, among);
  return among;
}

/** The page of a hop of a model. @param own sources beside the published ones. */
export function hopPage(of: Model, hop: Hop, own: readonly Source[] = []): HopPage {
  const { compared, usual } = amongOf(of);
  const place = comparedOf(hop);
  const sources = new Map(
    [...(Object.values(publishedSources) as Source[]), ...own].map((source) => [source.id, source]),
  );
  const used = new Set([
    ...Object.values(hop.cells).flatMap((cell) => cell.sources),
    ...hop.precursor.sources,
  ]);
  const alone = YEASTS.map((yeast) => {
    const given = singleHop(of, hop.name, hop.forms[0]!, yeast);
    return [yeast, given.ok ? given.value : null];
  });
  const { id, name, origin, forms, missing, thiolClass } = hop;
  return {
    hop: { id, name, origin, forms, missing, thiolClass },
    isOwn: !published.has(id),
    figures: ANALYTES.flatMap((analyte) => {
      const cell = hop.cells[analyte];
      return cell ? [{ analyte, ...cell, usual: usual[analyte] }] : [];
    }),
    others: ['keeping', 'precursor'].flatMap((end) => {
      const found = resolveProvenance(`cell/${id}/${end}`, of);
      return found.ok && 'status' in found.value ? [found.value] : [];
    }),
    neighbours: place
      ? nearest(place, compared, NEIGHBOURS).map(({ hop: near, distance }) => ({
          ...{ id: near.id, name: near.name, distance, isOwn: !published.has(near.id) },
        }))
      : null,
    alone: Object.fromEntries(alone) as HopPage['alone'],
    sources: [...used].sort().flatMap((source) => sources.get(source) ?? []),
  };
}

/** The page of a hop with own tables; `null` where no such hop is in them or published. */
export function hopPageWith(own: OwnTables, id: string): HopPage | null {
  const of = ownModel(model, own).model;
  const hop = of.hops.find((known) => known.id === id);
  return hop ? hopPage(of, hop, ownRows(own).rows.sources.map(toSource)) : null;
}

/** The hops that own tables bring, as far as they can be taken. */
export function ownHops(own: OwnTables): readonly { readonly id: string; readonly name: string }[] {
  return ownModel(model, own).model.hops.filter(({ id }) => !published.has(id));
}
