// Which kind of beer somebody brews and what hops of it are usual to them: our figures until they write their
// own. Kept in local storage, harmless where that is blocked.
import { KINDS_OF_BEER, type KindOfBeer, type UsualTotal } from '#shared/answers/usual-practice.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/brief.ts';

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
    // As good as nothing kept.
    return {};
  }
}

/** What was kept; nothing of it that cannot be. */
export function readUsualDoses(text: string | null): KeptDoses {
  const { kind, own } = parsed(text);
  const told = Object.entries(typeof own === 'object' && own !== null ? own : {});
  return {
    kind: isKind(kind) ? kind : null,
    own: Object.fromEntries(told.filter(([of, total]) => isKind(of) && isTotal(total))),
  };
}

export class UsualDoses {
  #kept = $state.raw<KeptDoses>({ kind: null, own: {} });

  constructor() {
    try {
      this.#kept = readUsualDoses(localStorage.getItem(KEY));
    } catch {
      // Blocked storage: what is chosen holds until the page is left.
    }
  }

  get kind(): KindOfBeer | null {
    return this.#kept.kind;
  }
  set kind(kind: KindOfBeer | null) {
    this.#keep({ ...this.#kept, kind });
  }

  /** What is usual of the kind chosen; `null` while none is. */
  get total(): UsualTotal | null {
    const { kind, own } = this.#kept;
    return kind && (own[kind] ?? KINDS_OF_BEER[kind]);
  }

  /** Whether the figures are somebody's own. */
  get isOwn(): boolean {
    const { kind, own } = this.#kept;
    return kind !== null && own[kind] !== undefined;
  }

  /** Takes own figures for the kind chosen; `null`: ours again. Returns what is wrong with them, or null. */
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
      // As above.
    }
  }
}

/** Range of a figure of a usual dose, g/L. */
export const USUAL_DOSE_RANGE = { min: 0, max: DOSE_G_PER_L_MAX, above: false, whole: false };
