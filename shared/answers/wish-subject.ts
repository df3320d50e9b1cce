// What a wish or limit that an answer names is about. Answers name it by its path in the brief, like
// `target.citrus` or `limits.ibu_at_most`; that path is written and read here and nowhere else.
import { AXES, type AxisId } from '#shared/ids.ts';
import { limitsSchema, type LimitFigure } from '#shared/schemas/brief.ts';
import { limitedStage, STAGE_LIMITS, stageLimitPath } from '#shared/schemas/stage-limits.ts';

export type WishSubject =
  | { readonly kind: 'axis'; readonly axis: AxisId }
  | { readonly kind: 'limit'; readonly limit: LimitFigure }
  /** The most that may go in at a stage, by its key. */
  | { readonly kind: 'stage'; readonly stage: string }
  /** What is on hand of a lot of this hop. */
  | { readonly kind: 'stock'; readonly hop: string }
  /** A required hop by its name. */
  | { readonly kind: 'required'; readonly hop: string }
  /** The forms a stage takes hops in, by its key. */
  | { readonly kind: 'stage_forms'; readonly stage: string }
  /** The forms a hop may come in. */
  | { readonly kind: 'forms' }
  /** A name in a list of the limits, by its place. */
  | { readonly kind: 'listed'; readonly list: 'require' | 'ban'; readonly at: number };

/** The path by which an answer names a wish or limit. */
export function wishPath(of: WishSubject): string {
  switch (of.kind) {
    case 'axis':
      return `target.${of.axis}`;
    case 'limit':
      return `limits.${of.limit}`;
    case 'stage':
      return stageLimitPath('stage_at_most_g_per_l', of.stage);
    case 'stage_forms':
      return stageLimitPath('stage_forms', of.stage);
    case 'stock':
      return `grams_on_hand of ${of.hop}`;
    case 'required':
      return `limits.require (${of.hop})`;
    case 'forms':
      return 'limits.forms';
    case 'listed':
      return `limits.${of.list}[${of.at}]`;
  }
}

const isAxis = (name: string): name is AxisId => (AXES as readonly string[]).includes(name);
const isFigure = (name: string): name is LimitFigure =>
  Object.hasOwn(limitsSchema.shape, name) &&
  !['ban', 'require', 'forms', ...STAGE_LIMITS].includes(name);

/** What a path names; `null` for a path that no answer of this version has. */
export function wishSubject(path: string): WishSubject | null {
  const stage = limitedStage('stage_at_most_g_per_l', path);
  if (stage !== null) return { kind: 'stage', stage };
  const formed = limitedStage('stage_forms', path);
  if (formed !== null) return { kind: 'stage_forms', stage: formed };
  const [, axis] = /^target\.(\w+)$/.exec(path) ?? [];
  if (axis !== undefined) return isAxis(axis) ? { kind: 'axis', axis } : null;
  const [, stocked] = /^grams_on_hand of (.+)$/.exec(path) ?? [];
  if (stocked !== undefined) return { kind: 'stock', hop: stocked };
  const [, hop] = /^limits\.require \((.+)\)$/.exec(path) ?? [];
  if (hop !== undefined) return { kind: 'required', hop };
  const [, list, at] = /^limits\.(require|ban)\[(\d+)\]$/.exec(path) ?? [];
  if (list !== undefined)
    return { kind: 'listed', list: list === 'ban' ? 'ban' : 'require', at: Number(at) };
  if (path === 'limits.forms') return { kind: 'forms' };
  const [, limit = ''] = /^limits\.(\w+)$/.exec(path) ?? [];
  return isFigure(limit) ? { kind: 'limit', limit } : null;
}

/** Whether a path names the wish for an axis. */
export function isAxisWish(path: string): boolean {
  return wishSubject(path)?.kind === 'axis';
}

/** Whether a path names a bound on the bitterness. */
export function isBitterness(of: WishSubject | null): boolean {
  return of?.kind === 'limit' && (of.limit === 'ibu_at_least' || of.limit === 'ibu_at_most');
}
