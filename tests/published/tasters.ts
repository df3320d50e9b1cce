// How well the aroma of each hop alone agrees with what tasters say of it: how often a note that is named
// stands higher, among all hops, than one that nobody names. Words that the fit has learned from prove
// little, so sources, all that is memory, or a third of the words are left out of it and judged alone.
import { readFileSync } from 'node:fs';
import { readTable } from '#shared/tables/read.ts';
import { reportedOf } from '#data/build/reported.ts';
import { sensoryRow, wordRow, type SensoryRow } from '#shared/tables/rows.ts';
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import { axisWeights } from '#shared/evidence/axis-weights.ts';
import type { Scoreboard, TasterAgreement } from '#shared/evidence/scoreboard.ts';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Descriptor } from '#shared/schemas/tables.ts';
import { aloneInDryHop } from '#engine/answer/alone.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { predictPoint, type Point } from '#engine/predict/predict.ts';
import { defaultValues, model, modelFor, type Model } from '#engine/tables/model.ts';

/** The hops that are offered. */
export const HOPS = model.hops.filter((hop) => hop.missing.length === 0);

/** A hop alone in the dry hop of the table of hops. */
export function dryHopped(of: Model, hop: string, gPerL: number): Point {
  const lot = lotOf(of, { hop, form: 'pellet_90' });
  if (!lot.ok) throw new Error(hop);
  const { batch, stages } = aloneInDryHop(hop);
  const grams = gPerL * batch.beer_l;
  return predictPoint(of, {
    name: hop,
    batch,
    stages,
    additions: [{ lot: lot.value, stage: 'dry_hop', grams }],
  });
}

/** Every offered hop at 8 g/L. */
export const AT_8 = HOPS.map((hop) => dryHopped(model, hop.name, 8));

function tableOf<S extends Parameters<typeof readTable>[1]>(file: string, schema: S) {
  const text = readFileSync(new URL(`../../data/${file}`, import.meta.url), 'utf8');
  const rows = readTable(text, schema);
  if (!rows.ok) throw new Error(file);
  return rows.value;
}
const words = tableOf('words.csv', wordRow);
const sensory = tableOf('sensory.csv', sensoryRow);
const axisOfWord = new Map(words.map(({ word, axis }) => [word, axis]));
const read = sensory.filter(({ status }) => status === 'seen');

/** Axes that rows name of a hop. */
function namedIn(rows: readonly SensoryRow[], hop: string): Set<AxisId> {
  const axes = rows.filter((r) => r.variety === hop).map((r) => axisOfWord.get(r.word));
  return new Set(axes.filter((axis): axis is AxisId => !!axis));
}

/** Share of hops that a hop stands above on an axis, ties half. Rows by hop, columns by axis. */
export function standings(figures: readonly (readonly number[])[]): number[][] {
  return figures.map((own) =>
    own.map((figure, a) => {
      const column = figures.map((row) => row[a]!);
      const below = column.filter((x) => x < figure).length;
      const same = column.filter((x) => x === figure).length - 1;
      return (below + same / 2) / (column.length - 1);
    }),
  );
}

interface Tally {
  readonly won: number;
  readonly of: number;
}

/** `said` against the axes that nobody in `anybody` names of the same hop. */
function tally(
  figures: readonly (readonly number[])[],
  said: readonly SensoryRow[],
  anybody: readonly SensoryRow[],
): Tally {
  const stands = standings(figures);
  let won = 0;
  let of = 0;
  HOPS.forEach(({ name }, h) => {
    const known = namedIn(anybody, name);
    const others = AXES.filter((axis) => !known.has(axis));
    for (const axis of namedIn(said, name)) {
      for (const other of others) {
        const [mine, its] = [axis, other].map((a) => stands[h]![AXES.indexOf(a)]!);
        won += mine! > its! ? 1 : mine === its ? 0.5 : 0;
        of += 1;
      }
    }
  });
  return { won, of };
}

function together(tallies: readonly Tally[]): TasterAgreement {
  const pairs = tallies.reduce((sum, { of }) => sum + of, 0);
  const won = tallies.reduce((sum, tally) => sum + tally.won, 0);
  return { share: Number((won / pairs).toPrecision(3)), pairs };
}

/** Signals of every hop at 8 g/L where the fit is done anew on some rows only. */
function refitted(rows: readonly SensoryRow[]): number[][] {
  const varieties = model.hops.map(({ name, origin, cells }) => {
    return { name, origin: origin ?? '', cells };
  });
  const ground = {
    weights: axisWeights(descriptorRows as Descriptor[]),
    compounds: Object.values(model.compounds),
    values: defaultValues(model),
  };
  const fitted = reportedOf(rows, words, varieties, ground);
  // What reaches the beer of 1 g/L that is reported is the same for every hop and axis.
  const [first] = HOPS;
  const some = AXES.findIndex((axis) => first!.reported[axis]);
  const reaches = AT_8[0]!.reported[some]! / first!.reported[AXES[some]!]!.central;
  return HOPS.map(({ name }, h) =>
    AXES.map((axis, a) => {
      const own = fitted.get(name)![axis]?.central ?? 0;
      return AT_8[h]!.signals[a]! - AT_8[h]!.reported[a]! + own * reaches;
    }),
  );
}

/** Of some rows, judged by a fit that has not seen them. */
function leftOut(
  isOut: (row: SensoryRow) => boolean,
  anybody: readonly SensoryRow[] = sensory,
): Tally {
  const figures = refitted(sensory.filter((row) => !isOut(row)));
  return tally(figures, sensory.filter(isOut), anybody);
}

/** Each source that was read left out in turn. */
function bySource(anybody: readonly SensoryRow[]): Tally[] {
  const ids = [...new Set(read.map(({ source_id }) => source_id))];
  return ids.map((id) => leftOut(({ source_id }) => source_id === id, anybody));
}

/** A third of the words said of hops left out at random, whoever says them, ten times. */
function byThirds(): Tally[] {
  const { uniform } = randomFrom(0.2);
  const keyOf = ({ variety, word }: SensoryRow) => `${variety} ${word}`;
  const said = [...new Set(sensory.map(keyOf))];
  return Array.from({ length: 10 }, () => {
    const hidden = new Set(said.filter(() => uniform() < 1 / 3));
    return leftOut((row) => hidden.has(keyOf(row)));
  });
}

/** The aroma of hops against the words of tasters, in every way it is judged. */
export function tasterAgreement(): Scoreboard['tasters'] {
  const only = modelFor(model, { compounds_only: true });
  const alone = HOPS.map((hop) => dryHopped(only, hop.name, 8).intensities);
  const whole = AT_8.map(({ intensities }) => intensities);
  return {
    all: together([tally(whole, sensory, sensory)]),
    compoundsAlone: together([tally(alone, sensory, sensory)]),
    sourcesLeftOut: together(bySource(sensory)),
    sourcesLeftOutRead: together(bySource(read)),
    memoryLeftOut: together([leftOut(({ status }) => status === 'memory')]),
    hidden: together(byThirds()),
  };
}
