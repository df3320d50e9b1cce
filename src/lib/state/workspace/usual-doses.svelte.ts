// The kind of beer a person brews and the usual hop doses for it: our figures until the person writes their
// own. Kept in local storage; nothing depends on it where that is blocked.
import { KINDS_OF_BEER, type KindOfBeer, type UsualTotal } from '#shared/answers/usual-practice.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';

const KEY = 'blendbine.usual-doses';

interface KeptDoses {
  readonly kind: KindOfBeer | null;
  readonly own: { readonly [K in KindOfBeer]?: UsualTotal };
}

const isKind = (value: unknown): value is KindOfBeer =>
  typeof value === 'string' && Object.hasOwn(KINDS_OF_BEER, value);

function isTotal(value: unknown): value is UsualTotal {
  if (typeof value !== 'object' || value === null) return false;
  const { from, to } = value as Partial<Record<keyof UsualTotal, unknown>>;
  return typeof from === 'number' && typeof to === 'number' && from >= 0 && from <= to;
}

function parsed(text: string | null): { readonly kind?: unknown; readonly own?: unknown } {
  try {
    const read: unknown = JSON.parse(text ?? '{}');
    return typeof read === 'object' && read !== null ? read : {};
  } catch {
    // Unreadable text counts as nothing kept.
    return {};
  }
}

/** What was kept, without values that are not possible. */
export function readUsualDoses(text: string | null): KeptDoses {
  const { kind, own } = parsed(text);
  const entries = Object.entries(typeof own === 'object' && own !== null ? own : {});
  return {
    kind: isKind(kind) ? kind : null,
    own: Object.fromEntries(entries.filter(([of, total]) => isKind(of) && isTotal(total))),
  };
}

export class UsualDoses {
  #kept = $state.raw<KeptDoses>({ kind: null, own: {} });

  constructor() {
    try {
      this.#kept = readUsualDoses(localStorage.getItem(KEY));
    } catch {
      // Where storage is blocked, the choice holds until the page is left.
    }
  }

  get kind(): KindOfBeer | null {
    return this.#kept.kind;
  }
  set kind(kind: KindOfBeer | null) {
    this.#keep({ ...this.#kept, kind });
  }

  /** The usual doses of the chosen kind; `null` while none is chosen. */
  get total(): UsualTotal | null {
    const { kind, own } = this.#kept;
    return kind && (own[kind] ?? KINDS_OF_BEER[kind]);
  }

  /** Whether the figures are the person's own. */
  get isOwn(): boolean {
    const { kind, own } = this.#kept;
    return kind !== null && own[kind] !== undefined;
  }

  /** Stores own figures for the chosen kind; `null` restores ours. Returns what is wrong with them, or `null`. */
  write(total: UsualTotal | null): string | null {
    const { kind, own } = this.#kept;
    if (kind === null) return null;
    if (total && total.from > total.to)
      return 'The minimum is above the maximum: lower one or raise the other.';
    const { [kind]: _, ...others } = own;
    this.#keep({ kind, own: total ? { ...others, [kind]: total } : others });
    return null;
  }

  #keep(kept: KeptDoses): void {
    this.#kept = kept;
    try {
      localStorage.setItem(KEY, JSON.stringify(kept));
    } catch {
      // Where storage is blocked, the figures hold until the page is left.
    }
  }
}

/** Range of a figure of a usual dose, g/L. */
export const USUAL_DOSE_RANGE = { min: 0, max: DOSE_G_PER_L_MAX, above: false, whole: false };
