// The verb hops: the whole table, each variety alone as a dry hop, with its cells.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import type { Provenance } from '#shared/evidence/provenance.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { aloneInDryHop, SINGLE_HOP_DOSE_G_PER_L } from '#engine/answer/alone.ts';
import { rankedAxes, type RankedAxis } from '#engine/evidence/ranking.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { Answered } from './predict.ts';
import { table, wrapped } from '#cli/print/table.ts';

interface HopAlone {
  readonly hop: Hop;
  /** Whether it takes part in a design. */
  readonly offered: boolean;
  /** `null` where nothing is known to predict from. */
  readonly axes: Readonly<Record<AxisId, RankedAxis>> | null;
}

/** Axes named of a hop in the text. */
const NAMED = 4;

/** Where the figures are from: those of an axis by its equation, those of a cell by its row. */
function provenanceOf(hops: readonly HopAlone[]): Provenance {
  const cells = hops.flatMap(({ hop }, i) => [
    ...Object.keys(hop.cells).map((a): [string, string[]] => [
      `hops.${i}.cells.${a}.*`,
      [`cell/${hop.id}/${a}`],
    ]),
    ...Object.keys(hop.reported).map((a): [string, string[]] => [
      `hops.${i}.reported.${a}.*`,
      [`cell/${hop.id}/reported/${a}`],
    ]),
  ]);
  return {
    dose_g_per_l: ['input/dose_g_per_l'],
    'hops.*.axes.*.intensity': ['equation/intensity'],
    'hops.*.axes.*.low': ['equation/band', 'equation/intensity'],
    'hops.*.axes.*.high': ['equation/band', 'equation/intensity'],
    ...Object.fromEntries(cells),
  };
}

function hopRow({ hop, offered, axes }: HopAlone): string[] {
  const ranked = axes ? [...AXES].sort((a, b) => axes[b].intensity - axes[a].intensity) : [];
  const named = ranked.slice(0, NAMED).map((a) => {
    const { intensity, low, high } = axes![a];
    const figures = `${intensity.toFixed(1)} (${low.toFixed(1)}-${high.toFixed(1)})`;
    return `${spoken(AXIS_NAMES[a])} ${figures}`;
  });
  return [hop.name, offered ? '' : 'not offered', named.join(', ')];
}

/** The table as an answer. @param doseGPerL g of type 90 per L. */
export function hopsTable(
  base: Model,
  doseGPerL = SINGLE_HOP_DOSE_G_PER_L,
  compoundsOnly = false,
): Answered {
  const model = modelFor(base, { compounds_only: compoundsOnly });
  const hops = model.hops.map((hop): HopAlone => {
    const axes = rankedAxes(model, hop.name, doseGPerL);
    return { hop, offered: hop.missing.length === 0, axes: axes.ok ? axes.value : null };
  });
  const { batch, stages } = aloneInDryHop('', doseGPerL);
  const { temp_c, hours } = stages.dry_hop!;
  const how = `Each hop alone, ${doseGPerL} g/L of type 90 in the dry hop, ${temp_c} C, ${hours} h, standard yeast: intensity and its 10-90 % band.`;
  return {
    json: {
      dose_g_per_l: doseGPerL,
      conditions: { batch, stages },
      compounds_only: compoundsOnly,
      hops: hops.map(({ hop, offered, axes }) => ({
        name: hop.name,
        offered,
        axes,
        cells: hop.cells,
        reported: compoundsOnly ? {} : hop.reported,
      })),
      provenance: {
        ...provenanceOf(hops),
        'conditions.**': ['input/conditions'],
      },
    },
    text: `${[...wrapped(how, ''), '', ...table(hops.map(hopRow), ['left', 'left', 'left'])].join('\n')}\n`,
  };
}
