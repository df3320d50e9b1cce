// The verb design with --tradeoff: the curve of the weight of hops against closeness or cost, or
// of the least blend against the share of lots in which it holds.
import type { Tradeoff, TradeoffAnswer, TradeoffPoint } from '#shared/answers/comparison.ts';
import { cautionsFor } from '#shared/answers/cautions.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readBrief } from '#shared/reading/read.ts';
import { modelFor } from '#engine/tables/model.ts';
import { tradingOff, type TradeoffOptions } from '#optimize/questions/tradeoff.ts';
import { kindsUsed, type Answered } from './predict.ts';
import { whyLines } from '#cli/print/design.ts';
import { cautionLines, headLines, page } from '#cli/print/prediction.ts';
import { thresholdLines, thresholdsShown } from '#cli/print/thresholds.ts';
import { withCells } from './cells.ts';
import { blendShown, searched, withStock, type SearchRequest } from './searching.ts';
import { figure, table } from '#cli/print/table.ts';

function hopsText({ blend }: TradeoffPoint): string {
  const grams = new Map<string, number>();
  for (const { hop, grams: g } of blend.additions) grams.set(hop, (grams.get(hop) ?? 0) + g);
  return [...grams].map(([hop, g]) => `${hop} ${figure(g)}`).join(', ');
}

/** What a point was traded for, as its column says. */
function tradedFor({ slack, holds_in_lots_at_least: share }: TradeoffPoint): string {
  if (share === undefined) return figure(slack);
  return share === 0 ? 'an average lot' : `${figure(share * 100)} % of lots`;
}

function curveLines({ against, points }: TradeoffAnswer): string[] {
  if (points.length === 0) return ['No blend, so no curve.'];
  const traded = against === 'chance' ? 'asked to hold in' : 'wishes widened by';
  return table(
    [
      ['hops g', 'cost', traded, 'proven', 'hops'],
      ...points.map((p) => [
        figure(p.hop_g),
        p.cost === null ? 'not known' : figure(p.cost),
        tradedFor(p),
        p.proof.status === 'optimal' ? 'yes' : `not below ${figure(p.proof.lower_bound)}`,
        hopsText(p),
      ]),
    ],
    ['right', 'right', 'right', 'left', 'left'],
  );
}

/** Draws the curve of the brief in a text. Fails with every problem of the document. */
export function tradeoffText(
  text: string,
  against: Tradeoff,
  request: SearchRequest<TradeoffOptions>,
): Outcome<Answered> {
  const read = readBrief(text);
  if (!read.ok) return read;
  const brief = withStock(read.value, request.stock);
  const outcome = searched(
    request,
    (options) => tradingOff(request.base, brief, against, options),
    ({ points }) => `${points} points`,
  );
  if (!outcome.ok) return outcome;
  const answer = outcome.value;
  const its = modelFor(request.base, brief);
  const points = answer.points.map((p) => {
    const { design, shown } = blendShown(request.base, brief, p.blend);
    return { ...p, design, blend: { ...p.blend, ...shown } };
  });
  const additions = points.flatMap((p) => p.design.additions);
  const kinds = kindsUsed({ stages: brief.stages, additions });
  return success({
    json: withCells(
      'tradeoff',
      its,
      {
        name: brief.name,
        ...answer,
        points: points.map(({ design: _design, ...point }) => point),
        thresholds: thresholdsShown(its),
        cautions: cautionsFor(kinds),
      },
      points.map(({ design, blend }, i) => ({
        at: `points.${i}.blend`,
        design,
        warnings: blend.warnings,
      })),
    ),
    text: page(
      headLines(brief),
      curveLines(answer),
      ...whyLines(answer),
      thresholdLines(its),
      cautionLines(kinds),
    ),
  });
}
