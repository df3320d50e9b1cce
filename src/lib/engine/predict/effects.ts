// Unit doses of many lots as numbers: what the columns of a search are made of. Lots that are known by the
// same figures share one program, which is run over all of them at once.
import { ANALYTES, AXES, COMPOUNDS } from '#shared/ids.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { centralFigure } from '#engine/lot/figures.ts';
import type { Process } from '#engine/process/process.ts';
import { Program, type External } from '#engine/symbols/program.ts';
import type { Term } from '#engine/symbols/term.ts';
import { at, type World } from '#engine/symbols/world.ts';
import { unitDose } from './unit-dose.ts';

/** What 1 g of a lot per litre of beer does at a stage. Of dry hops, compounds are before the load. */
export interface Effect {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Signal by axis index that tasters report of it. */
  readonly reported: Float64Array;
  /** mg/L alpha acids on their path: into hot wort, or into the beer before its cap. */
  readonly alpha: number;
  /** mg/L humulinones into the beer. */
  readonly humulinones: number;
  /** Leaf that stays, g of type 90 per L. */
  readonly leaf: number;
}

/** What does nothing to a beer. */
export function noEffect(): Effect {
  return {
    compounds: new Float64Array(COMPOUNDS.length),
    reported: new Float64Array(AXES.length),
    alpha: 0,
    humulinones: 0,
    leaf: 0,
  };
}

/** What a lot is known by, but for the numbers: lots alike in it share their terms. */
function shapeOf({ form, figures, reported, storage, keeping }: Lot): string {
  const known = ANALYTES.map((a) => {
    const figure = figures[a];
    return figure ? (figure.perProduct ? '2' : '1') : '0';
  });
  const { months, temp_c, packed, storage_index, months_since_analysis } = storage ?? {};
  const told = [months, temp_c, storage_index, months_since_analysis].map((value, i) =>
    value === undefined || (i !== 1 && value === 0) ? '0' : '1',
  );
  const noted = AXES.map((axis) => (reported[axis] ? '1' : '0')).join('');
  return [form, known.join(''), noted, told.join(''), packed, keeping ? 'k' : ''].join(' ');
}

interface Shaped {
  readonly program: Program;
  /** The lot whose terms it is made of; other lots stand in for it. */
  readonly like: Lot;
  /** Compounds and axes with an output, in order; then alpha, humulinones and leaf where they have one. */
  readonly compounds: readonly number[];
  readonly reported: readonly number[];
  readonly has: { readonly alpha: boolean; readonly humulinones: boolean; readonly leaf: boolean };
}

function shaped(process: Process, lot: Lot, shape: string, stageKey: string): Shaped {
  const known = process.once('shapes of lots', () => new Map<string, Shaped>());
  const key = `${stageKey}|${shape}`;
  let found = known.get(key);
  if (!found) {
    const { compounds, reported, alpha, humulinones, leaf } = unitDose(process, lot, stageKey);
    const present = (lines: readonly unknown[]) => lines.flatMap((line, i) => (line ? [i] : []));
    const brought = present(compounds);
    const noted = present(reported);
    const outputs: (Term | null)[] = [
      ...brought.map((i) => compounds[i]!),
      ...noted.map((i) => reported[i]!),
      alpha,
      humulinones,
      leaf,
    ];
    found = {
      program: new Program(outputs.filter((term) => term !== null)),
      like: lot,
      compounds: brought,
      reported: noted,
      has: { alpha: alpha !== null, humulinones: humulinones !== null, leaf: leaf !== null },
    };
    known.set(key, found);
  }
  return found;
}

/**
 * The effects of lots at a stage, in their order, in one world.
 * @param world of one world; lots it knows nothing of count at their central figures.
 */
export function effectsAt(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
  world: World,
): Effect[] {
  const groups = new Map<string, number[]>();
  lots.forEach((lot, i) => {
    const shape = shapeOf(lot);
    const group = groups.get(shape);
    if (group) group.push(i);
    else groups.set(shape, [i]);
  });
  const effects: Effect[] = Array(lots.length);
  for (const [shape, members] of groups) {
    const of = shaped(process, lots[members[0]!]!, shape, stageKey);
    const { program, like, compounds, reported, has } = of;
    const told = (external: External) => {
      // Compiled without kept lines: only inputs are asked for.
      if (external.kind === 'line') return external.line.value;
      const { input, central } = external;
      if (input.of !== like) return at(world.valuesOf(input, central) ?? central, 0);
      return Float64Array.from(members, (i) => {
        const own = centralFigure(process.model, lots[i]!, input.name);
        return at(world.valuesOf({ of: lots[i]!, name: input.name }, own) ?? own, 0);
      });
    };
    const values = program.run(members.length, told);
    members.forEach((i, m) => {
      const effect = noEffect();
      let output = 0;
      const next = () => at(values[output++]!, m);
      for (const c of compounds) effect.compounds[c] = next();
      for (const a of reported) effect.reported[a] = next();
      effects[i] = {
        compounds: effect.compounds,
        reported: effect.reported,
        alpha: has.alpha ? next() : 0,
        humulinones: has.humulinones ? next() : 0,
        leaf: has.leaf ? next() : 0,
      };
    });
  }
  return effects;
}
