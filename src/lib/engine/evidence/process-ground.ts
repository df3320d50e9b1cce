// How firm the process figures behind an amount in the beer are. A yield or rate counts only if its uncertainty
// alone would be noticed: if the amount at its 10 % or its 90 % point differs from that at the default by more than
// the just noticeable difference. A row that is an assumption counts as an estimate.
import { COMPOUNDS, type Status } from '#shared/ids.ts';
import { parameterStatus, type Model, type ParameterId } from '#engine/tables/model.ts';
import { parameterAt } from '#engine/doubt/sampling.ts';
import type { Beer } from '#engine/predict/beer.ts';
import { weakest } from '#engine/symbols/standing.ts';
import { num, PARAMETERS, termsIn, valueOf, type Term } from '#engine/symbols/term.ts';
import { at, Evaluation, type World } from '#engine/symbols/world.ts';

/** Parameters in these terms. Bound 3SH by class is left out: it is a figure of the lot, not of the process. */
function onTheWay(model: Model, terms: readonly Term[]): ParameterId[] {
  const found = new Set<ParameterId>();
  const seen = new Set<Term>(terms);
  for (const term of seen) {
    if (term.kind === 'leaf' && term.input?.of === PARAMETERS) {
      found.add(term.input.name as ParameterId);
    }
    for (const inner of term.kind === 'line' ? [term.term] : termsIn(term)) seen.add(inner);
  }
  return [...found].filter(
    (id) =>
      !id.startsWith('precursor.g_sh3.') &&
      id !== 'precursor.cys_share' &&
      !model.parameters[id].fixed,
  );
}

/** Worlds in which each parameter alone is at its 10 and at its 90 % point: two for each parameter. */
function movedWorld(model: Model, ids: readonly ParameterId[]): World {
  const places = new Map<string, number>(ids.map((id, i) => [id, i]));
  const count = 2 * ids.length;
  return {
    count,
    valuesOf: ({ of, name }, central) => {
      const place = of === PARAMETERS ? places.get(name) : undefined;
      if (place === undefined) return undefined;
      const row = model.parameters[ids[place]!];
      const values = new Float64Array(count).fill(central);
      values.set([parameterAt(row, 0.1), parameterAt(row, 0.9)], 2 * place);
      return values;
    },
  };
}

/**
 * The weakest status among the process figures behind an amount, by compound index.
 * @param addition index of the addition in the beer; the index after the last stands for the malt.
 */
export type ProcessGround = (addition: number, compound: number) => Status;

/** @param count number of additions of the beer. */
export function processGround(beer: Beer, count: number): ProcessGround {
  const { model } = beer.process;
  const noticed = model.parameters['aroma.jnd'].central;
  const terms: Term[] = [];
  for (let a = 0; a <= count; a += 1) {
    for (const c of COMPOUNDS) {
      terms.push((a < count ? beer.broughtByGram(a, c) : beer.broughtByMalt(c)) ?? num(0));
    }
  }
  const ids = onTheWay(model, terms);
  const moved = new Evaluation(movedWorld(model, ids)).of(terms);
  const found = terms.map((term, i): Status => {
    const usual = valueOf(term);
    let status: Status = 'analysis';
    ids.forEach((id, p) => {
      for (const k of [2 * p, 2 * p + 1]) {
        const amount = at(moved[i]!, k);
        const [low, high] = amount < usual ? [amount, usual] : [usual, amount];
        if (high > low * (1 + noticed)) {
          status = weakest(status, parameterStatus(model.parameters[id]));
        }
      }
    });
    return status;
  });
  return (addition, compound) => found[addition * COMPOUNDS.length + compound]!;
}
