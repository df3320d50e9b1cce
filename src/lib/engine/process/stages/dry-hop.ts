// Hops in cold beer: they are extracted with time, their yield falls with the total load of all dry hops, and
// live yeast, where there is any, changes geraniol and ferments what the enzymes of the leaf set free.
import { HOURS_PER_DAY, type Celsius } from '#shared/units.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import { condition } from '#engine/symbols/rows.ts';
import {
  decay,
  line,
  minus,
  most,
  num,
  over,
  power,
  times,
  type Line,
} from '#engine/symbols/term.ts';
import { heldAtTemperature } from '../alpha-solubility.ts';
import type { Process } from '../process.ts';
import type { StageTerms } from '../stage.ts';
import { NO_YEAST, onLiveYeast } from '../yeast.ts';

/** Temperature the dry-hop extraction rates are given for, C. */
export const DRY_HOP_REFERENCE_C: Celsius = 20;

type DryHop = StageUse<'dry_hop'>;

const hoursOf = ({ key, conditions }: DryHop) =>
  condition(`stages.${key}.hours`, conditions.hours, 'Contact', 'h');
const tempOf = ({ key, conditions }: DryHop) =>
  condition(`stages.${key}.temp_c`, conditions.temp_c, 'Dry hop at', 'C');

/**
 * Share of its final level that dry-hop extraction has reached, 0 to 1; hydrocarbons have a rate of their own.
 * Source for bitter acids and polyphenols rising with time as the others do: PARK17.
 */
function extractedIn(
  process: Process,
  use: DryHop,
  rate: 'mixed' | 'static' | 'hydrocarbon',
): Line {
  return process.once(`extracted ${rate} ${use.key}`, () => {
    const warmer = minus(tempOf(use), num(DRY_HOP_REFERENCE_C));
    const term = minus(
      num(1),
      decay(
        process.parameter(`dry_hop.rate.${rate}`),
        power(process.parameter('dry_hop.q10'), over(warmer, num(10))),
        hoursOf(use),
      ),
    );
    return line(`Extracted in that time, ${rate}`, 'fraction', 'dry_hop_extraction', term);
  });
}

/**
 * Days at 20 C that are worth as much to hop creep as the time on live yeast. Yeast slows in the cold by the
 * square-root law of growth, ((T - T0)/(20 - T0))^2, and rests below T0 (RATK82); extract that the enzymes set
 * free by then stays until it warms up.
 */
function creepDays(process: Process, use: DryHop): Line {
  return process.once(`creep days ${use.key}`, () => {
    const rests = process.parameter('creep.yeast_rests');
    const pace = power(
      over(most(num(0), minus(tempOf(use), rests)), minus(num(DRY_HOP_REFERENCE_C), rests)),
      num(2),
    );
    const days = over(hoursOf(use), num(HOURS_PER_DAY));
    return line('Days at 20 °C the yeast has worked', 'd', 'creep_co2', times(days, pace));
  });
}

export function dryHopTerms(process: Process, use: DryHop): StageTerms {
  const { key, conditions } = use;
  const { model } = process;
  const extracted = extractedIn(process, use, conditions.mixed ? 'mixed' : 'static');
  const live = conditions.live_yeast;
  return {
    use,
    where: 'dry hop',
    loads: true,
    yieldOf: (compound) => {
      const { transferClass, loadGroup } = model.compounds[compound];
      const reached =
        loadGroup === 'hydrocarbon' ? extractedIn(process, use, 'hydrocarbon') : extracted;
      return {
        equation: 'dry_hop_yield',
        term: times(process.parameter(`dry_hop.yield.${transferClass}`), reached),
      };
    },
    yieldKey: (compound) => {
      const { transferClass, loadGroup } = model.compounds[compound];
      return `${transferClass} ${loadGroup}`;
    },
    yeast: live
      ? onLiveYeast(process, {
          key,
          hours: hoursOf(use),
          tempC: tempOf(use),
          fermentationLeft: process.parameter('dry_hop.fermentation_left'),
        })
      : NO_YEAST,
    bound: null,
    alpha: {
      kind: 'cold',
      factors: [process.parameter('dry_hop.alpha_transfer'), extracted],
      held: heldAtTemperature(process, tempOf(use)),
    },
    extracted,
    leavesLeaf: true,
    loss: (form) => process.parameter(`loss.dry_hop.${form}`),
    madeUpIn: null,
    creepDays: live ? creepDays(process, use) : null,
  };
}
