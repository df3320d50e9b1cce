// Where a prediction lies against a wish: met, short of it or over it, and by how much.
import type { Wish } from '#shared/schemas/brief.ts';
import { metBy } from '#state/documents/wish.ts';

export type Standing =
  | { readonly kind: 'free' }
  | { readonly kind: 'met' }
  | { readonly kind: 'short' | 'over'; readonly by: number; readonly edge: number };

/** Differences that read as 0.0 on the intensity scale count as met. */
const SHOWN_FROM = 0.05;

export function standingOf(wish: Wish | undefined, intensity: number): Standing {
  if (!wish) return { kind: 'free' };
  const { low, high } = metBy(wish);
  if (low - intensity >= SHOWN_FROM) return { kind: 'short', by: low - intensity, edge: low };
  if (intensity - high >= SHOWN_FROM) return { kind: 'over', by: intensity - high, edge: high };
  return { kind: 'met' };
}

/** By how much a wish is missed, in words; `null` where it is not. */
export function missedBy(standing: Standing, words: (by: number) => string): string | null {
  if (standing.kind !== 'short' && standing.kind !== 'over') return null;
  return `${words(standing.by)} ${standing.kind}`;
}
