// Gauge pressure over beer at rest: a regression on equilibrium tables (Henry's law with its dependence on
// temperature). The headspace is not counted, so the pressure is rather too high.
import type { Celsius } from '#shared/units.ts';
import type { Model } from '#engine/tables/model.ts';
import { given, parameter } from '#engine/symbols/rows.ts';
import { line, num, sum, times, valueOf, type Line, type Term } from '#engine/symbols/term.ts';
import type { Beer } from './beer.ts';

const BAR_PER_PSI = 0.0689475729;

/** bar, from carbon dioxide in volumes per volume; fitted for about 1 to 5. Source: CO2FIT. */
function gaugePressure(model: Model, volumes: Term, tempC: Celsius): Term {
  const f = sum(times(num(tempC), num(1.8)), num(32));
  const fit = (id: 't' | 't2' | 'tv' | 'v' | 'v2') => parameter(model, `carbonation.${id}`);
  const psi = sum(
    parameter(model, 'carbonation.constant'),
    times(fit('t'), f),
    times(fit('t2'), f, f),
    times(fit('tv'), f, volumes),
    times(fit('v'), volumes),
    times(fit('v2'), volumes, volumes),
  );
  return times(psi, num(BAR_PER_PSI));
}

/** The same pressure as a number, bar. */
export function carbonationPressureBar(model: Model, volumes: number, tempC: Celsius): number {
  return valueOf(gaugePressure(model, num(volumes), tempC));
}

/**
 * Carbon dioxide in the package, volumes: planned, and still to come from hop creep; `null` where none was
 * planned.
 */
export function co2InPackage(beer: Beer): Line | null {
  const { co2_vol: planned } = beer.process.batch;
  if (planned === undefined) return null;
  const plannedCo2 = given('batch.co2_vol', planned, 'Planned carbon dioxide', 'volumes');
  return line(
    'Carbon dioxide in all',
    'volumes',
    'creep_to_come',
    sum(plannedCo2, beer.creepToCome()),
  );
}

/** Gauge pressure at a temperature, bar: planned, or with hop creep; `null` where none was planned. */
export function pressureLine(beer: Beer, of: 'planned' | 'in_all', tempC: Celsius): Line | null {
  const all = co2InPackage(beer);
  const { model, batch } = beer.process;
  if (!all) return null;
  const planned = given('batch.co2_vol', batch.co2_vol!, 'Planned carbon dioxide', 'volumes');
  const term = gaugePressure(model, of === 'planned' ? planned : all, tempC);
  const name = of === 'planned' ? 'Planned pressure' : 'Pressure with hop creep';
  return line(`${name} at ${tempC} C`, 'bar', 'carbonation', term);
}
