// The verb source: what an id of provenance stands for, as it stands beside every JSON answer.
import { success, type Outcome } from '#shared/outcome.ts';
import { STATUS_NAMES } from '#shared/words.ts';
import { resolveProvenance, type ProvenanceFound } from '#engine/evidence/provenance.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Answered } from './predict.ts';
import { page } from '#cli/print/prediction.ts';
import { wrapped } from '#cli/print/table.ts';

function lines(found: ProvenanceFound): string[] {
  const labelled = (label: string, text: string) =>
    text === '' ? [] : wrapped(text, `${label}: `);
  if ('formula' in found) {
    const { formula, parameters, builds_on, reads, sources } = found;
    return [
      ...labelled('Formula', formula),
      ...labelled('Parameters', parameters.join(', ')),
      ...labelled('Builds on', builds_on.join(', ')),
      ...labelled('Reads', reads.join(', ')),
      ...labelled('Sources', sources.join(', ')),
    ];
  }
  if ('read' in found) {
    const { authors, year, where, locator, read } = found;
    const from = [authors, year, where, locator].filter((s) => s !== '').join('. ');
    return [...labelled('From', from), ...labelled('Read', read)];
  }
  if (!('status' in found)) return [];
  const { low, default: middle, high, unit, status, sources, note } = found;
  return [
    ...labelled('Value', `${middle} (${low} to ${high}) ${unit}`),
    ...labelled('Status', STATUS_NAMES[status]),
    ...labelled('Sources', sources.join(', ')),
    ...labelled('Note', note),
  ];
}

/** What `id` stands for. Fails where there is no such row or equation. */
export function sourceText(id: string, base: Model): Outcome<Answered> {
  const found = resolveProvenance(id, base);
  if (!found.ok) return found;
  const { name } = found.value;
  return success({ json: found.value, text: page([id, name], lines(found.value)) });
}
