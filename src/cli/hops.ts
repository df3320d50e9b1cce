// The verb hops: the whole table, each variety alone as a dry hop, with its cells.
import { AXES } from '#shared/ids.ts';
import type { Provenance } from '#shared/evidence/provenance.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import {
  TABLE_BATCH,
  TABLE_DOSE_G_PER_L,
  TABLE_STAGES,
  wholeTable,
  type HopAlone,
} from '#engine/answer/whole-table.ts';
import { model as base, modelFor } from '#engine/tables/model.ts';
import type { Answered } from './predict.ts';
import { table, wrapped } from './table.ts';

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
export function hopsTable(doseGPerL = TABLE_DOSE_G_PER_L, compoundsOnly = false): Answered {
  const model = modelFor(base, { compounds_only: compoundsOnly });
  const hops = wholeTable(model, doseGPerL);
  const { temp_c, hours } = TABLE_STAGES.dry_hop;
  const { yeast, malt_g_per_l } = TABLE_BATCH;
  const how = `Each hop alone, ${doseGPerL} g/L of type 90 in the dry hop, ${temp_c} C, ${hours} h, standard yeast: intensity and its 10-90 % band.`;
  return {
    json: {
      dose_g_per_l: doseGPerL,
      conditions: { batch: { yeast, malt_g_per_l }, stages: TABLE_STAGES },
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
