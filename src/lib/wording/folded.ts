// What the folded parts of an answer say on their line: each its main figure, or what it would tell.
import { keepingTimeWords } from '#shared/answers/keeping-time.ts';
import { AXES, COMPOUNDS, STATUSES, weakOf } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Blend, Contribution, PointBlend } from '#shared/answers/answer.ts';
import type { Target } from '#shared/schemas/brief.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import { percent, timesThreshold } from './format.ts';
import { compoundName } from './words.ts';

/** The addition that brings most of a wished note, and of which; `null` where nothing is wished. */
export function whyLine(contributions: readonly Contribution[], target: Target): string | null {
  const shares = AXES.filter((axis) => target[axis]).flatMap((axis) =>
    contributions.map(({ addition, axes }) => ({
      hop: addition?.hop ?? 'The malt',
      axis,
      share: axes[axis].share ?? 0,
    })),
  );
  const [first] = shares.sort((a, b) => b.share - a.share);
  return first
    ? `${first.hop} brings ${percent(first.share)} of the ${spoken(AXIS_NAMES[first.axis])}`
    : null;
}

/** How much of the hop figures in use nobody has measured. */
export function sureLine({ statuses }: Evidence): string {
  const all = STATUSES.reduce((sum, status) => sum + statuses[status], 0);
  if (all === 0) return 'no hop figures in use';
  return `${percent(weakOf(statuses) / all)} of the hop figures used are from memory or estimated`;
}

/** How long the profile keeps, and what fades first. */
export function shelfLine({ shelf: { best_before: best } }: Blend): string {
  const first = best.axis === null ? '' : `, then ${spoken(AXIS_NAMES[best.axis])} has faded`;
  return `best for ${keepingTimeWords(best.months)}${first}`;
}

/** The compound that stands furthest above its threshold. */
export function compoundsLine({ compounds }: PointBlend): string {
  const oav = (id: (typeof COMPOUNDS)[number]) => compounds[id].oav ?? 0;
  const [first] = COMPOUNDS.toSorted((a, b) => oav(b) - oav(a));
  return `${compoundName(first!)} at ${timesThreshold(oav(first!))} times its threshold`;
}
