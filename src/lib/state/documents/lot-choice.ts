// Which lot an addition by hand is weighed from, when a hop is added or its form changes.
import { FORMS, type FormId } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition, Candidate } from '#shared/schemas/lot.ts';
import type { Grams } from '#shared/units.ts';
import type { OwnAddition } from '#shared/schemas/workspace.ts';
import { nameKey } from '#shared/name-key.ts';
import type { OwnAdditions } from './by-hand.ts';

/** The rows with the lot of one row in another form; grams, stage and lock stay. */
export function withForm(
  own: OwnAdditions,
  at: number,
  form: FormId,
  { candidates }: Pick<Brief, 'candidates'>,
): OwnAddition[] {
  return own.map((addition, i) => {
    if (i !== at || addition.form === form) return addition;
    const { hop, stage, grams, locked } = addition;
    return { ...additionOf(lotFor(candidates, hop, form, grams), stage, grams), locked };
  });
}

/** The lots on offer of a hop, in one form or in any. */
export function lotsFor(
  candidates: Brief['candidates'],
  hop: string,
  form?: FormId,
): readonly Candidate[] {
  const lots = candidates === 'table' ? [] : candidates;
  return lots.filter(
    (c) => nameKey(c.hop) === nameKey(hop) && (form === undefined || c.form === form),
  );
}

/**
 * The lot of a hop to add or to change to. Of the lots with enough grams it is the one of the oldest harvest,
 * so that it is used up first; where none has enough, the one with most; where none is on offer, one of the
 * table.
 */
export function lotFor(
  candidates: Brief['candidates'],
  hop: string,
  form?: FormId,
  grams = 0,
): Candidate {
  const held = (lot: Candidate) => lot.grams_on_hand ?? Infinity;
  const year = (lot: Candidate) => lot.harvest_year ?? Infinity;
  const [best] = [...lotsFor(candidates, hop, form)].sort((a, b) => {
    const [enoughA, enoughB] = [held(a) >= grams, held(b) >= grams];
    if (enoughA !== enoughB) return enoughA ? -1 : 1;
    const [first, second] = enoughA ? [year(a), year(b)] : [held(b), held(a)];
    return first === second ? 0 : first - second;
  });
  return best ?? { hop, form: form ?? FORMS[0] };
}

/** An addition of a lot at a stage. */
export function additionOf(lot: Candidate, stage: string, grams: Grams): Addition {
  const { hop, form, price_per_kg, package_g, analysis, storage } = lot;
  return {
    hop,
    form,
    stage,
    grams,
    ...(price_per_kg !== undefined && { price_per_kg }),
    ...(package_g !== undefined && { package_g }),
    ...(analysis && { analysis }),
    ...(storage && { storage }),
  };
}
