// What the dialog Sources shows of a figure: its equation with the numbers filled in, the rows behind it with ranges
// and sources, and what share rests on memory or estimates. Pure; loads with the dialog, because it needs the hop
// table.
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import { learnedModel } from '#engine/doubt/learned.ts';
import { ownModel } from '#engine/tables/own.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Status } from '#shared/ids.ts';
import { provenanceId } from '#shared/evidence/provenance.ts';
import { lotOf, type LotSpec } from '#engine/lot/composition.ts';
import {
  derivationOf,
  lotDerivationOf,
  workingOf,
  type Derivation,
} from '#engine/evidence/derivation.ts';
import { designOf } from '#engine/predict/design.ts';
import { equationOf } from '#engine/evidence/equations.ts';
import { isEquationId, type EquationId } from '#engine/symbols/equation-ids.ts';
import type { EvidenceShares } from '#engine/symbols/standing.ts';
import { valueOf, type Line } from '#engine/symbols/term.ts';
import { model, modelFor, type Model } from '#engine/tables/model.ts';
import { resolveProvenance, type ProvenanceFound } from '#engine/evidence/provenance.ts';
import { shownParts, tokensOf, type Token } from '#engine/symbols/reading.ts';

/** What the figures of a part of the page were worked out from. */
export type FigureScope =
  | { readonly kind: 'design'; readonly schedule: Schedule }
  | { readonly kind: 'lot'; readonly spec: LotSpec };

/** One row of a sum, or the whole of an equation. */
export interface FilledPart {
  readonly label: string;
  readonly tokens: readonly Token[];
  readonly value: number;
}

/** A step: its equation, and its numbers where the figure is worked out. */
export interface FigureStep {
  readonly name: string;
  readonly equation: EquationId;
  readonly formula: string;
  readonly parts: readonly FilledPart[];
  /** `null` where only the form of the equation is shown. */
  readonly value: number | null;
  readonly unit: string;
}

/** A row behind a figure. */
export interface GroundRow {
  readonly id: string;
  readonly name: string;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  /** `null` for a figure that a person gave. */
  readonly status: Status | null;
  readonly sources: readonly string[];
}

export interface FigureEvidence {
  readonly title: string;
  /** Unit of the figure where it is worked out or stands in a table; else empty. */
  readonly unit: string;
  readonly steps: readonly FigureStep[];
  readonly rows: readonly GroundRow[];
  readonly shares: EvidenceShares | null;
  readonly missing: readonly string[];
  /** Remarks, as on a band or on what the search reports. */
  readonly notes: readonly string[];
}

function derived(base: Model, scope: FigureScope | null, id: string): Derivation | null {
  if (!scope) return null;
  if (scope.kind === 'lot') {
    const lot = lotOf(base, scope.spec);
    return lot.ok ? lotDerivationOf(base, lot.value, id) : null;
  }
  const of = modelFor(base, scope.schedule);
  const design = designOf(of, scope.schedule);
  return design.ok ? derivationOf(workingOf(of, design.value), id) : null;
}

function filledParts(line: Line): FilledPart[] {
  const { term, value, manySteps } = line;
  if (manySteps) return [{ label: '', tokens: tokensOf(line), value }];
  if (term.kind !== 'list') return [{ label: '', tokens: tokensOf(term), value }];
  return shownParts(term).map((p) => ({
    label: p.label,
    tokens: tokensOf(p.term),
    value: valueOf(p.term),
  }));
}

function stepsOf({ lines }: Derivation): FigureStep[] {
  return lines.map((line) => {
    const { name, unit, equation, value } = line;
    const formula = equationOf(equation).formulas.join('; ');
    return { name, equation, formula, parts: filledParts(line), value, unit };
  });
}

function rowOf(found: ProvenanceFound): GroundRow[] {
  if (!('status' in found)) return [];
  const { id, name, default: value, low, high, unit, status, sources } = found;
  return [{ id, name, value, low, high, unit, status, sources }];
}

function generalStep(found: Extract<ProvenanceFound, { formula: string }>): FigureStep {
  const equation = found.id.split('/')[1] as EquationId;
  const { name, formula } = found;
  return { name, equation, formula, parts: [], value: null, unit: '' };
}

/**
 * What is shown of a figure with these ids.
 * @param knowledge what a person had brought to the published model when the figure was worked out.
 */
export function figureEvidence(
  ids: readonly string[],
  scope: FigureScope | null,
  knowledge: OwnKnowledge = NO_KNOWLEDGE,
): FigureEvidence {
  const tables = ownModel(model, knowledge.own).model;
  const base = learnedModel(tables, knowledge.learned);
  const steps: FigureStep[] = [];
  const rows = new Map<string, GroundRow>();
  const notes: string[] = [];
  let title = '';
  let shares: EvidenceShares | null = null;
  const missing = new Set<string>();
  const banded = ids.includes('equation/band');
  for (const id of ids) {
    if (id === 'equation/band') continue;
    const worked = derived(base, scope, id);
    if (worked) {
      const isGiven = (step: FigureStep) =>
        steps.some(({ name, value }) => name === step.name && value === step.value);
      steps.push(...stepsOf(worked).filter((step) => !isGiven(step)));
      for (const leaf of worked.leaves) rows.set(leaf.id!, { ...leaf, id: leaf.id! });
      shares ??= worked.shares;
      for (const hop of worked.missing) missing.add(hop);
      title ||= worked.lines[0]!.name;
      continue;
    }
    const outcome = resolveProvenance(id, tables);
    if (!outcome.ok) continue;
    const found = outcome.value;
    title ||= found.name;
    if ('formula' in found) {
      steps.push(generalStep(found));
      for (const parameter of found.parameters) {
        const row = resolveProvenance(parameter, tables);
        if (row.ok) for (const r of rowOf(row.value)) rows.set(r.id, r);
      }
    } else if ('status' in found) for (const r of rowOf(found)) rows.set(r.id, r);
    else if (found.name !== title) notes.push(found.name);
  }
  if (banded) notes.unshift(BAND_NOTE);
  return {
    title: title.charAt(0).toUpperCase() + title.slice(1) || 'Range of 10 to 90 %',
    unit: steps[0]?.unit ?? [...rows.values()][0]?.unit ?? '',
    steps,
    rows: [...rows.values()],
    shares,
    missing: [...missing],
    notes,
  };
}

const BAND_NOTE =
  'A range of 10 to 90 % is where eight in ten of 500 draws fall, each row drawn within its range.';

/** Name of what an id stands for; of a figure it is the equation's, for its compound or axis. */
export function nameOfIds(ids: readonly string[]): string {
  const id = ids.find((i) => i !== 'equation/band') ?? ids[0] ?? '';
  const found = resolveProvenance(id);
  const name = found.ok ? found.value.name.replaceAll(/\bug\b/g, 'µg') : id;
  return ids.includes('equation/band') && ids.length > 1 ? `${name}, range` : name;
}

/**
 * The address of a row on the site: on the page of a hop, of own tables or published, or in the tables of evidence.
 */
export interface RowPlace {
  readonly hop: { readonly id: string; readonly isOwn: boolean } | null;
  readonly anchor: string;
}
export function placeOf(id: string): RowPlace | null {
  const parts = provenanceId(id);
  if (!parts || ['input', 'search', 'count', 'experiment'].includes(parts.kind)) return null;
  if (parts.kind === 'own') return placeOf(parts.rest);
  if (parts.kind === 'cell') {
    const hop = parts.rest.split('/')[0]!;
    return { hop: { id: hop, isOwn: !model.hops.some((known) => known.id === hop) }, anchor: id };
  }
  if (parts.kind !== 'equation') return { hop: null, anchor: id };
  const equation = parts.rest.split('/')[0]!;
  return isEquationId(equation) ? { hop: null, anchor: `equation/${equation}` } : null;
}
