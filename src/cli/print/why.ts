// The reasons behind a blend as text for people: what each addition brings, what each wish costs, why
// a hop is not in it, what clashes, in how many lots it holds.
import type {
  Clash,
  Contribution,
  DesignAnswer,
  Hold,
  LeverNeed,
  Price,
  PriceUnit,
  WhyNot,
} from '#shared/answers/answer.ts';
import { AXES } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { wishSubject } from '#shared/answers/wish-subject.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import { amount } from './design.ts';
import { figure, table, words, wrapped } from './table.ts';

const UNITS: Readonly<Record<PriceUnit, string>> = {
  intensity: 'in intensity',
  IBU: 'IBU',
  g_per_l: 'g/L',
  g: 'g',
  money: 'of money',
  share: '% of the hop weight',
};

/** A figure of a wish; shares in per cent. */
function wished(value: number, unit: PriceUnit): string {
  return figure(unit === 'share' ? value * 100 : value);
}

function percent(share: number): string {
  return `${figure(share * 100)} %`;
}

function wishName(wish: string, side: 'at_least' | 'at_most' | null): string {
  const of = wishSubject(wish);
  if (of?.kind === 'stage') return `${spokenStage(of.stage)}, g/L${side ? ` ${words(side)}` : ''}`;
  if (of?.kind === 'stage_forms') return `forms in the ${spokenStage(of.stage)}`;
  const name = words(wish.replace(/^(target|limits)\./, '')).replace(/ at (least|most)$/, '');
  return side ? `${name} ${words(side)}` : name;
}

function contributionLines(parts: readonly Contribution[], { target }: Brief): string[] {
  const axes = AXES.filter((a) => target[a] && parts.some((p) => p.axes[a].signal > 0));
  if (axes.length === 0) return [];
  const rows = parts
    .filter((p) => axes.some((a) => p.axes[a].signal > 0))
    .map(({ addition, axes: by }) => [
      addition ? `${spokenStage(addition.stage)}, ${addition.hop}` : 'malt',
      ...axes.map((a) => (by[a].share === null ? '' : figure(by[a].share * 100))),
    ]);
  return [
    'What each addition brings, % of the signal:',
    ...table([['', ...axes.map(words)], ...rows], ['left', ...axes.map((): 'right' => 'right')]),
  ];
}

function priceLines(prices: readonly Price[], { minimise }: Brief): string[] {
  const dear = prices.filter((p) => p.price > 0);
  if (dear.length === 0) return [];
  const range = ({ from, to, unit }: Price) =>
    `${from === null ? 'any less' : wished(from, unit)} to ${to === null ? 'any more' : wished(to, unit)}`;
  return [
    'What the wishes cost, with these hops at these stages:',
    ...dear.flatMap((p) =>
      wrapped(
        `${wishName(p.wish, p.side)} ${wished(p.asked, p.unit)}: ${amount(p.price, minimise, 3)} for the last ${wished(p.per, p.unit)} ${UNITS[p.unit]} (so from ${range(p)})`,
      ),
    ),
  ];
}

const LEVERS = { oil: 'as much oil', thiols: 'as much thiols', price: 'the price' };

function leverText({ lever, factor, stage }: LeverNeed): string {
  return `${figure(factor!)} times ${LEVERS[lever]} in the ${spokenStage(stage)}`;
}

function whyNotLines(reasons: readonly WhyNot[], { minimise }: Brief): string[] {
  return reasons.flatMap((r) => {
    const text = {
      in_blend: 'it is in the blend.',
      left_out: `it is not used: ${r.reason}.`,
      impossible: `no blend with it meets the wishes${r.reason ? `: ${r.reason}` : ''}.`,
      undecided: 'no blend with it was found in time.',
      dearer: r.with_it
        ? `the best blend with it takes ${amount(Math.max(0, r.with_it.extra), minimise, 3)} more.`
        : '',
    }[r.verdict];
    const levers = r.levers.filter((l) => l.factor !== null);
    const pays =
      r.reduced_cost_per_g !== null && r.reduced_cost_per_g < 0
        ? ' A little of it would help here; the number of hops, the smallest addition or the weighing step keeps it out.'
        : '';
    const needs =
      levers.length > 0
        ? ` To be worth using it would need ${levers.map(leverText).join(', or ')}.`
        : '';
    return wrapped(`Why not ${r.hop}: ${text}${pays}${needs}`, '');
  });
}

function clashLines({ members, irreducible, smallest }: Clash): string[] {
  const kind = smallest
    ? 'no smaller clash exists'
    : irreducible
      ? 'without any one of them the others can be met'
      : 'not all of them were shown to be needed for the clash';
  return [
    ...wrapped(`These cannot be met together (${kind}):`, ''),
    ...members.flatMap((m) => {
      const asked = m.asked === null ? '' : ` ${figure(m.asked)}`;
      const cure =
        m.holds_at !== null
          ? `${figure(m.holds_at)} is enough if all else stays`
          : m.enough_alone === true
            ? 'without this one, all others can be met'
            : m.enough_alone === false
              ? 'easing this alone is not enough'
              : 'whether easing this is enough was not settled in time';
      return wrapped(`${wishName(m.wish, m.side)}${asked}: ${cure}`);
    }),
  ];
}

function holdLines(hold: Hold, { minimise }: Brief): string[] {
  const { wanted, share, reached, scenarios, fresh, central_share, extra, share_at_most, eased } =
    hold;
  const reach = reached
    ? `The first blend holds in ${percent(fresh.share)} of ${fresh.scenarios} drawn lots (asked: ${percent(wanted)})`
    : `No blend was found that holds in ${percent(wanted)} of lots; the first holds in ${percent(fresh.share)} of ${fresh.scenarios} drawn ones`;
  const limit =
    !reached && share_at_most < wanted
      ? ` Proven: none holds in more than ${percent(share_at_most)} of them.`
      : '';
  const loosened = eased
    ? ` It would hold in ${percent(wanted)} with ${wishName(eased.wish, null)} loosened by ${figure(eased.by)}.`
    : '';
  return wrapped(
    `${reach}, and in ${percent(share)} of the ${scenarios} drawn to choose it. It takes ${extra === 0 ? 'no' : amount(extra, minimise, 3)} more than the blend for an average lot, which holds in ${percent(central_share)}.${limit}${loosened}`,
    '',
  );
}

/** The reasons in an answer, as far as they were asked for. */
export function reasonLines({ why }: Pick<DesignAnswer, 'why'>, brief: Brief): string[][] {
  return [
    why.hold ? holdLines(why.hold, brief) : [],
    why.contributions ? contributionLines(why.contributions, brief) : [],
    why.prices ? priceLines(why.prices, brief) : [],
    why.why_not ? whyNotLines(why.why_not, brief) : [],
    why.clash ? clashLines(why.clash) : [],
  ];
}
