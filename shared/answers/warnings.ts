// The words of the warnings about a design: what was found, what it is measured against, what to do.
import type { GramsPerLitre } from '#shared/units.ts';
import type { Warning } from './prediction.ts';

/** How figures are written: dose in g/L, the rest without conversion. */
export interface WarningFormat {
  readonly dose: (gPerL: GramsPerLitre) => string;
  readonly plain: (value: number) => string;
  readonly percent: (fraction: number) => string;
}

function listed(names: readonly string[]): string {
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** The sentence of a warning. */
export function warningText(
  { id, severity, figure, limit, hops }: Omit<Warning, 'text'>,
  { dose, plain, percent }: WarningFormat,
): string {
  const [got, most] = [figure ?? NaN, limit ?? NaN];
  switch (id) {
    case 'creep':
      return severity === 'danger'
        ? `Hop creep may bring the package to ${plain(got)} volumes of carbon dioxide; at ${plain(most)} bottles were reported to fail. Let live yeast finish on the hops while warm, keep the package cold, and do not prime on top.`
        : `Hop creep may form ${plain(got)} volumes of carbon dioxide once the package warms. Package when the gravity stands still while warm: that it stands still in cold beer proves nothing.`;
    case 'storage_index':
      return `${listed(hops)}: storage index ${plain(got)}, over ${plain(most)}. Tasters could tell beer dry-hopped with such hops from beer with fresh ones; keep them for the boil.`;
    case 'dry_load':
      return severity === 'care'
        ? `A dry hop of ${dose(got)} is larger than any we found published (${dose(most)}). Lower a wish, or limit the dose of the dry hop.`
        : `A dry hop of ${dose(got)} is above the useful range, which ends at ${dose(most)}: more hops bring little more aroma, but more leaf and loss.`;
    case 'steep_bitter':
      return `The hot steep makes ${percent(got)} of the bitterness. A cooler or shorter steep brings the aroma without it.`;
    case 'hot_dose':
      return `A hot stage takes ${dose(got)} of hops, more than is usual (${dose(most)}): how much they still bring at such a dose is not known, and the trub holds wort back. Put the rest into the dry hop.`;
    case 'leaf':
      return `Leaf after the mash is ${dose(got)}; from about ${dose(most)} on beer is assumed to taste grassy. Lupulin-enriched pellets bring less.`;
    case 'beer_lost':
      return severity === 'care'
        ? `The hops hold back ${percent(got)} of the batch. Lower a wish, or limit the leaf after the mash.`
        : `The hops hold back ${percent(got)} of the batch. Lupulin-enriched pellets or an earlier stage hold back less.`;
    case 'thiols_by_class':
      return `The thiols of ${listed(hops)} are known only by class or estimate: read the fruit they bring as below, near or above the noticeable, not as a figure.`;
  }
}

/**
 * The first warning that endangers somebody or the beer; it is shown at the head of a blend. Not the creep of any dry
 * hop, which is a matter of packaging; `undefined` where nothing is that grave.
 */
export function gravest<W extends Pick<Warning, 'id' | 'severity'>>(
  warnings: readonly W[],
): W | undefined {
  return warnings.find(
    ({ id, severity }) => severity === 'danger' || (severity === 'care' && id !== 'creep'),
  );
}

/** Where a warning's figures come from, in words: what was read, or that it is our judgement alone. */
export function warningSources({ sources }: Pick<Warning, 'sources'>): string {
  const read = sources.filter((id) => id !== 'CALC');
  return read.length > 0 ? read.join(', ') : 'our judgement';
}
