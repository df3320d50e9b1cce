// The filled-in equations of geraniol from a dry hop on live yeast: what is left of it, and what becomes
// citronellol. Held against the engine by a test.
import { HOURS_PER_DAY } from '#shared/units.ts';
import { given, once, parameter, type Working } from './derive-rows.ts';
import { MATURATION_REFERENCE_C } from './geraniol.ts';
import { by, line, minus, most, num, over, power, sum, times, type Line } from './terms.ts';

/** Time on yeast after the fermentation, in lengths of a fermentation at its rate of reduction. */
function after(working: Working): Line {
  return once(working, 'on yeast after', () => {
    const { temp_c, hours } = working.design.stages.dry_hop!;
    const days = parameter(working, 'ferment.days');
    const contact = over(given('stages.dry_hop.hours', hours, 'Contact', 'h'), num(HOURS_PER_DAY));
    const still = times(parameter(working, 'dry_hop.fermentation_left'), days);
    const warmer = minus(
      given('stages.dry_hop.temp_c', temp_c, 'Dry hop at', 'C'),
      num(MATURATION_REFERENCE_C),
    );
    const term = times(
      parameter(working, 'ferment.maturation_rate'),
      power(parameter(working, 'ferment.maturation_q10'), over(warmer, num(10))),
      over(most(num(0), minus(contact, still)), days),
    );
    return line('On yeast after it, in fermentations', '-', 'fermentation', term);
  });
}

/** Geraniol left when the beer has fermented out. */
function green(working: Working): Line {
  return once(working, 'geraniol of green beer', () => {
    const survival = parameter(working, 'ferment.survival.geraniol');
    const term = power(survival, parameter(working, 'dry_hop.fermentation_left'));
    return line('Geraniol left at the end of fermentation', 'fraction', 'fermentation', term);
  });
}

/** Geraniol left of a dry hop on live yeast. */
export function leftOnYeast(working: Working): Line {
  return once(working, 'left on yeast', () => {
    const reduction = times(parameter(working, 'ferment.citronellol_gain'), by(after(working)));
    const slower = power(parameter(working, 'ferment.survival.geraniol'), reduction);
    const term = times(by(green(working)), slower);
    return line('Geraniol left on the yeast', 'fraction', 'fermentation', term);
  });
}

/** Geraniol of a dry hop that live yeast turns into citronellol, mol per mol. */
export function reducedOnYeast(working: Working): Line {
  return once(working, 'reduced on yeast', () => {
    const fermented = minus(num(1), by(green(working)));
    const term = sum(
      times(fermented, parameter(working, 'ferment.citronellol_gain')),
      minus(by(green(working)), by(leftOnYeast(working))),
    );
    return line('Geraniol turned into citronellol', 'fraction', 'fermentation', term);
  });
}
