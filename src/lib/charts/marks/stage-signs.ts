// How each kind of stage is told apart in every chart: one hue, one pattern, one stroke. Hue and pattern
// together, so that neither print nor colour sight matters. Stages of one kind are told apart by name.
import type { StageKind } from '#shared/stages/kinds.ts';

/** A part of a pattern tile of 6 by 6. */
export type PatternPart =
  /** The whole tile, at that opacity. */
  | { readonly kind: 'ground'; readonly opacity: number }
  | { readonly kind: 'dot'; readonly at: number }
  | { readonly kind: 'path'; readonly d: string };

export interface StageSign {
  /** A CSS colour for light and dark. */
  readonly hue: string;
  readonly pattern: readonly PatternPart[];
  /** Degrees the pattern is turned by. */
  readonly turned?: number;
  /** Dashes of an outline. */
  readonly dashes?: string;
}

const TINT: PatternPart = { kind: 'ground', opacity: 0.22 };

const SIGNS: Readonly<Record<StageKind, StageSign>> = {
  mash: {
    hue: 'light-dark(oklch(0.6 0.125 70), oklch(0.78 0.13 80))',
    pattern: [TINT, { kind: 'dot', at: 1.5 }, { kind: 'dot', at: 4.5 }],
    dashes: '7 4',
  },
  boil: {
    hue: 'light-dark(oklch(0.53 0.15 30), oklch(0.72 0.14 35))',
    pattern: [TINT, { kind: 'path', d: 'M0 0h6v2H2v4H0z' }],
    dashes: '9 3 2 3',
  },
  hot_steep: {
    hue: 'light-dark(oklch(0.52 0.16 350), oklch(0.72 0.14 350))',
    pattern: [TINT, { kind: 'path', d: 'M0 0h3v6H0z' }],
    turned: 45,
    dashes: '2 3',
  },
  dry_hop: {
    hue: 'light-dark(oklch(0.5 0.09 185), oklch(0.74 0.1 185))',
    pattern: [{ kind: 'ground', opacity: 1 }],
  },
};

/** A stage that is not known, or no stage at all. */
const NO_SIGN: StageSign = { hue: 'var(--edge)', pattern: [] };

export function signOf(kind: StageKind | null): StageSign {
  return kind === null ? NO_SIGN : SIGNS[kind];
}

/** What fills a shape that stands for a stage; needs `StagePatterns` on the page. */
export function fillOf(kind: StageKind | null): string {
  return kind === null ? 'var(--line)' : `url(#stage-${kind})`;
}
