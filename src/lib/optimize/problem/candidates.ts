// Which lots take part in a design: the table's hops in their usual forms, or the lots listed in the
// brief. A lot that cannot be weighed against the others is left out, and the reason is kept.
import { rollup } from 'd3';
import { FORMS, type FormId } from '#shared/ids.ts';
import type { LeftOut } from '#shared/answers/answer.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { stageForms } from '#shared/schemas/stage-limits.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { nameKey } from '#shared/name-key.ts';
import {
  correctName,
  findHop,
  lotOf,
  missingForDesign,
  type Lot,
} from '#engine/lot/composition.ts';
import { lotKey } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { finished, LOTS_AT_ONCE, type Resting } from '#optimize/pacing/clock.ts';

/** A lot that takes part, with the words it was given in. */
export interface Offer {
  readonly lot: Lot;
  readonly candidate: Candidate;
}

export interface Offers {
  readonly offers: readonly Offer[];
  readonly leftOut: readonly LeftOut[];
}

/** Where no candidate can be used, so many reasons are given: those that keep out the most lots. */
const REASONS_SHOWN = 3;

function missingReason(figures: readonly string[]): string {
  return `no figure for ${figures.join(', ')}`;
}

/** Why a lot takes no part whose form is not asked for. */
function unwantedForm(form: FormId): string {
  return `as ${form}, which is not among limits.forms`;
}

/** Why a lot takes no part whose form no stage takes. */
function unplacedForm(form: FormId): string {
  return `as ${form}, which limits.stage_forms allows at no stage`;
}

const BANNED = 'banned by limits.ban';
/** Reasons that a limit of the brief gives, not the lot. */
const OF_LIMITS: ReadonlySet<string> = new Set([
  BANNED,
  ...FORMS.flatMap((form) => [unwantedForm(form), unplacedForm(form)]),
]);

const UNPRICED = 'no price_per_kg, and cost counts in this brief';

const tableLots = new WeakMap<Model, Map<Candidate, Lot>>();

/** The table's lots, built once: they depend on nothing but the table. */
function tableLotsOf(model: Model): ReadonlyMap<Candidate, Lot> {
  let lots = tableLots.get(model);
  if (!lots) {
    lots = new Map();
    for (const hop of model.hops.filter((h) => h.missing.length === 0)) {
      for (const form of FORMS.filter((f) => hop.forms.includes(f))) {
        const candidate = { hop: hop.name, form };
        const lot = lotOf(model, candidate);
        if (lot.ok) lots.set(candidate, lot.value);
      }
    }
    tableLots.set(model, lots);
  }
  return lots;
}

const lotsBuilt = new WeakMap<Model, WeakMap<Candidate, Outcome<Lot>>>();

/** A listed lot, built once for all briefs that list it: a question may state many of the same list. */
function listedLot(model: Model, candidate: Candidate): Outcome<Lot> {
  let lots = lotsBuilt.get(model);
  if (!lots) lotsBuilt.set(model, (lots = new WeakMap()));
  let lot = lots.get(candidate);
  if (!lot) lots.set(candidate, (lot = lotOf(model, candidate)));
  return lot;
}

/** With the price the model knows, where the candidate states none. */
function withPrice(candidate: Candidate, { pricePerKg }: Lot): Candidate {
  const known = candidate.price_per_kg !== undefined || pricePerKg === null;
  return known ? candidate : { ...candidate, price_per_kg: pricePerKg };
}

/** A number that different lots seldom share, so that the long key is made only for lots whose numbers are equal. */
function distinguishingFigures({ analysis = {}, price_per_kg: price = 0 }: Candidate): number {
  const { alpha_pct = 0, total_oil_ml_per_100g = 0, linalool_pct_of_oil = 0 } = analysis;
  return alpha_pct + Math.E * total_oil_ml_per_100g + Math.PI * linalool_pct_of_oil + price / 7;
}

/** Lots that share that number: the first of them, then each by its full key. */
interface Alike {
  readonly first: number;
  byKey: Map<string, number> | null;
}

/** Lots that differ in nothing a blend is judged by are one lot, with all of their grams. */
function* together(offers: readonly Offer[]): Resting<Offer[]> {
  const merged: Offer[] = [];
  const alike = new Map<number, Alike>();
  const keyOf = ({ lot, candidate }: Offer) => lotKey({ ...candidate, hop: lot.hop });
  for (const [i, offer] of offers.entries()) {
    if (i % LOTS_AT_ONCE === 0) yield;
    const { gramsOnHand } = offer.lot;
    const short = distinguishingFigures(offer.candidate);
    const group = alike.get(short);
    if (!group) {
      alike.set(short, { first: merged.push(offer) - 1, byKey: null });
      continue;
    }
    group.byKey ??= new Map([[keyOf(merged[group.first]!), group.first]]);
    const key = keyOf(offer);
    const place = group.byKey.get(key);
    if (place === undefined) {
      group.byKey.set(key, merged.push(offer) - 1);
      continue;
    }
    const { lot, candidate } = merged[place]!;
    const { grams_on_hand: _, ...unlimited } = candidate;
    const all =
      lot.gramsOnHand === null || gramsOnHand === null ? null : lot.gramsOnHand + gramsOnHand;
    merged[place] = {
      lot: { ...lot, gramsOnHand: all },
      candidate: all === null ? unlimited : { ...unlimited, grams_on_hand: all },
    };
  }
  return merged;
}

/** Whether hops in a form may go in at any stage. */
function isTaken({ limits, stages }: Brief, form: FormId): boolean {
  if (!limits.stage_forms) return true;
  return stagesOf(stages).some(({ key }) => stageForms(limits, key).includes(form));
}

/** Why a lot cannot take part under this brief; `null` if it can. */
function reasonAgainst(lot: Lot, brief: Brief, banned: ReadonlySet<string>): string | null {
  if (banned.has(nameKey(lot.hop))) return BANNED;
  const missing = missingForDesign(lot);
  if (missing.length > 0) return missingReason(missing);
  const priced = brief.minimise === 'cost' || brief.limits.cost_at_most !== undefined;
  if (priced && lot.pricePerKg === null) return UNPRICED;
  const { forms } = brief.limits;
  if (forms && !forms.includes(lot.form)) return unwantedForm(lot.form);
  if (!isTaken(brief, lot.form)) return unplacedForm(lot.form);
  if (lot.gramsOnHand === 0) return 'none on hand';
  return null;
}

/** The key all names of one hop share: the table's own name where it has one. */
export function varietyKey(model: Model, name: string): string {
  return nameKey(findHop(model, name)?.name ?? name);
}

/** Names in `ban` or `require` that no table row and no candidate carries. */
function unknownNames(
  model: Model,
  brief: Brief,
  limit: 'ban' | 'require',
  known: ReadonlySet<string>,
): Problem[] {
  return brief.limits[limit].flatMap((name, i) =>
    findHop(model, name) || known.has(nameKey(name))
      ? []
      : [
          {
            path: `limits.${limit}[${i}]`,
            message: `no hop of the table or of the candidates is called "${name}"`,
            cure: correctName(model, name, 'or take it out'),
          },
        ],
  );
}

/** Of the table a hop is left out only where it is on offer in no form at all. */
function dropOffered(leftOut: LeftOut[], offers: readonly Offer[]): void {
  const offered = new Set(offers.map((o) => o.lot.hop));
  const out = leftOut.filter((l) => !offered.has(l.hop));
  leftOut.splice(0, leftOut.length, ...out);
}

function requireProblems(model: Model, brief: Brief, { offers, leftOut }: Offers): Problem[] {
  const offered = new Set(offers.map((o) => nameKey(o.lot.hop)));
  const banned = new Set(brief.limits.ban.map((n) => varietyKey(model, n)));
  return brief.limits.require.flatMap((name, i) => {
    const key = varietyKey(model, name);
    const path = `limits.require[${i}]`;
    if (banned.has(key)) {
      const cure = 'Take it out of limits.ban or of limits.require';
      return [{ path, message: `"${name}" is both required and banned`, cure }];
    }
    if (offered.has(key)) return [];
    const why = leftOut.find((l) => nameKey(l.hop) === key)?.reason;
    const message = `"${name}" is required, but ${why ? `left out: ${why}` : 'no candidate is that hop'}`;
    return [{ path, message, cure: 'Add a usable lot of it to candidates, or stop requiring it' }];
  });
}

/** What to do where no lot is left: a price is easier to give than figures of the hop, so it is named first. */
function nothingLeft({ candidates }: Brief, leftOut: readonly LeftOut[]): Problem {
  const path = 'candidates';
  if (leftOut.some((l) => l.reason === UNPRICED)) {
    const cure =
      candidates === 'table'
        ? 'Offer lots with their prices in place of the whole table'
        : 'Give the lots their prices';
    return {
      path,
      message: `no candidate can be used: ${UNPRICED}`,
      cure: `${cure}, or take the cost out of the brief`,
    };
  }
  const counts = rollup(
    leftOut,
    (lots) => lots.length,
    (l) => l.reason,
  );
  const most = [...counts].sort((a, b) => b[1] - a[1]).slice(0, REASONS_SHOWN);
  const reasons = most.map(([reason]) => reason).join('; ');
  return {
    path,
    message: `no candidate can be used: ${reasons}`,
    cure: most.some(([reason]) => OF_LIMITS.has(reason))
      ? 'Ease what limits them, or offer other lots'
      : 'Give the missing figures, or offer other lots',
  };
}

/**
 * The lots of a brief, each tied to its composition; entries of the same lot count as one.
 * Fails with every problem found: lots nobody can know, names nobody carries, clashing lists.
 */
export function offersOf(model: Model, brief: Brief): Outcome<Offers> {
  return finished(offering(model, brief));
}

/** The same, so many lots at a time. */
export function* offering(model: Model, brief: Brief): Resting<Outcome<Offers>> {
  const table = brief.candidates === 'table' ? tableLotsOf(model) : null;
  const candidates = table ? [...table.keys()] : (brief.candidates as readonly Candidate[]);
  const leftOut: LeftOut[] = (table ? model.hops : [])
    .filter((h) => h.missing.length > 0)
    .map((h) => ({ hop: h.name, reason: missingReason(h.missing) }));
  const problems: Problem[] = [];
  const offers: Offer[] = [];
  const known = new Set<string>();
  const banned = new Set(brief.limits.ban.map((n) => varietyKey(model, n)));
  for (const [i, given] of candidates.entries()) {
    if (i % LOTS_AT_ONCE === 0) yield;
    const built = table?.get(given);
    const outcome = built ? success(built) : listedLot(model, given);
    if (!outcome.ok) {
      const at = `candidates[${i}]`;
      problems.push(...outcome.problems.map((p) => ({ ...p, path: `${at}.${p.path}` })));
      continue;
    }
    const lot = outcome.value;
    const candidate = withPrice(given, lot);
    known.add(nameKey(lot.hop));
    const reason = reasonAgainst(lot, brief, banned);
    if (reason === null) offers.push({ lot, candidate });
    else if (!leftOut.some((l) => l.hop === lot.hop && l.reason === reason))
      leftOut.push({ hop: lot.hop, reason });
  }
  if (table && (brief.limits.forms ?? brief.limits.stage_forms)) dropOffered(leftOut, offers);
  const found: Offers = { offers: table ? offers : yield* together(offers), leftOut };
  problems.push(...unknownNames(model, brief, 'ban', known));
  const missing = unknownNames(model, brief, 'require', known);
  problems.push(...missing);
  if (missing.length === 0) problems.push(...requireProblems(model, brief, found));
  if (offers.length === 0 && problems.length === 0) problems.push(nothingLeft(brief, leftOut));
  return problems.length > 0 ? failure(...problems) : success(found);
}
