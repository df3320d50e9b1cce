// The filled-in equations of the totals: weight, cost, beer lost, leaf, pH, polyphenols, hop creep and
// the pressure it may bring. Held against the engine by a test.
import { STAGE_NAMES, spoken } from '#shared/words.ts';
import { HOURS_PER_DAY } from '#shared/units.ts';
import { BAR_PER_PSI } from './creep.ts';
import type { LotAddition } from './design.ts';
import { lotName } from './derive-lot.ts';
import { extractedOf } from './derive-transfer.ts';
import { beerOf, given, gramsOf, once, parameter, type Working } from './derive-rows.ts';
import { packagesFor } from './purchases.ts';
import {
  by,
  decay,
  labelled,
  least,
  line,
  minus,
  num,
  over,
  sum,
  times,
  type Line,
  type Part,
  type Term,
} from './terms.ts';

function parts(
  { design }: Working,
  partOf: (addition: LotAddition) => Term,
  isIn: (addition: LotAddition) => boolean = () => true,
): Part[] {
  return design.additions
    .filter((a) => a.grams > 0 && isIn(a))
    .map((a) => ({
      label: `${lotName(a.lot)}, ${spoken(STAGE_NAMES[a.stage])}`,
      term: partOf(a),
    }));
}
const isDry = ({ stage }: LotAddition) => stage === 'dry_hop';

export function hopWeightOf(working: Working, perLitre: boolean): Line {
  const grams = labelled(parts(working, (a) => gramsOf(working, a)));
  const all = once(working, 'hop g', () => line('Hops in all', 'g', 'hop_weight', grams));
  if (!perLitre) return all;
  return line('Hops per litre', 'g/L', 'hop_weight', over(by(all), beerOf(working)));
}

/** Leaf after the mash, g of type 90 per L. */
export function leafOf(working: Working): Line {
  return once(working, 'leaf', () => {
    const perLitre = (a: LotAddition) =>
      times(
        over(gramsOf(working, a), beerOf(working)),
        parameter(working, `form.${a.lot.form}.leaf`),
      );
    const of = parts(working, perLitre, ({ stage }) => stage !== 'mash');
    return line('Leaf after the mash', 'g/L', 'leaf', labelled(of));
  });
}

/** Leaf of the dry hop alone. */
function dryLeafOf(working: Working): Line {
  return once(working, 'dry leaf', () => {
    const perLitre = (a: LotAddition) =>
      times(
        over(gramsOf(working, a), beerOf(working)),
        parameter(working, `form.${a.lot.form}.leaf`),
      );
    return line('Leaf of the dry hop', 'g/L', 'leaf', labelled(parts(working, perLitre, isDry)));
  });
}

export function beerLostOf(working: Working): Line {
  const loss = ({ stage, lot }: LotAddition) =>
    parameter(working, stage === 'dry_hop' ? `loss.dry_hop.${lot.form}` : `loss.${stage}`);
  const held = parts(working, (a) => over(times(gramsOf(working, a), loss(a)), num(1000)));
  const term = least(labelled(held), beerOf(working));
  return line('Beer held back', 'L', 'beer_lost', term);
}

export function phRiseOf(working: Working): Line {
  const term = times(by(dryLeafOf(working)), parameter(working, 'ph.rise'));
  return line('pH rise', '-', 'ph_rise', term);
}

export function polyphenolsOf(working: Working): Line {
  const gain = parameter(working, 'polyphenol.gain');
  const term = working.design.stages.dry_hop
    ? times(by(dryLeafOf(working)), gain, by(extractedOf(working)))
    : times(by(dryLeafOf(working)), gain);
  return line('Polyphenols', 'mg/L', 'polyphenols', term);
}

/** What the hops cost; `null` where a used lot has no price. */
export function costLineOf(working: Working): Line | null {
  const used = working.design.additions.filter((a) => a.grams > 0);
  const paid: Part[] = [];
  for (const lot of new Set(used.map((a) => a.lot))) {
    if (lot.pricePerKg === null) return null;
    const price = given(`price_per_kg/${lot.hop}`, lot.pricePerKg, `Price of ${lot.hop}`, 'a kg');
    const of = used.filter((a) => a.lot === lot);
    const grams = of.reduce((all, a) => all + a.grams, 0);
    const bought: Term =
      lot.packageG === null
        ? sum(...of.map((a) => gramsOf(working, a)))
        : times(
            num(packagesFor(grams, lot.packageG)),
            given(`package_g/${lot.hop}`, lot.packageG, `Package of ${lot.hop}`, 'g'),
          );
    paid.push({ label: lotName(lot), term: times(over(bought, num(1000)), price) });
  }
  return line('Cost', 'in the money of your prices', 'cost', labelled(paid));
}

/** Extract the enzymes of the dry hop set free in the end, P. */
export function creepExtractOf(working: Working): Line {
  return once(working, 'creep', () => {
    const most = least(
      times(parameter(working, 'creep.per_load'), by(dryLeafOf(working))),
      parameter(working, 'creep.cap'),
    );
    return line('Extract set free by hop creep', '°P', 'creep', most);
  });
}

/** Carbon dioxide that may still form in the package, volumes. */
export function creepCo2Of(working: Working): Line {
  return once(working, 'creep co2', () => {
    const all = by(creepExtractOf(working));
    const dryHop = working.design.stages.dry_hop;
    const live = dryHop?.live_yeast === true;
    const factors: Term[] = [all];
    if (live) {
      const days = over(
        given('stages.dry_hop.hours', dryHop.hours, 'Contact', 'h'),
        num(HOURS_PER_DAY),
      );
      const before = times(all, minus(num(1), decay(over(days, parameter(working, 'creep.days')))));
      factors.splice(0, 1, minus(all, before));
    }
    const term = times(...factors, parameter(working, 'creep.co2_vol'));
    return line('Carbon dioxide hop creep may form', 'volumes', 'creep_co2', term);
  });
}

/** Carbon dioxide in the package, planned and from hop creep; `null` where none was planned. */
export function co2Of(working: Working): Line | null {
  const { co2_vol: planned } = working.design.batch;
  if (planned === undefined) return null;
  const told = given('batch.co2_vol', planned, 'Planned carbon dioxide', 'volumes');
  const term = sum(told, by(creepCo2Of(working)));
  return once(working, 'co2', () => line('Carbon dioxide in all', 'volumes', 'creep_co2', term));
}

/** Gauge pressure at a temperature, bar: planned, or with hop creep. */
export function pressureOf(working: Working, of: 'planned' | 'in_all', tempC: number): Line | null {
  const all = co2Of(working);
  if (!all) return null;
  const planned = given(
    'batch.co2_vol',
    working.design.batch.co2_vol!,
    'Planned carbon dioxide',
    'volumes',
  );
  const v: Term = of === 'planned' ? planned : by(all);
  const f = sum(times(num(tempC), num(1.8)), num(32));
  const fit = (id: 't' | 't2' | 'tv' | 'v' | 'v2') => parameter(working, `carbonation.${id}`);
  const psi = sum(
    parameter(working, 'carbonation.constant'),
    times(fit('t'), f),
    times(fit('t2'), f, f),
    times(fit('tv'), f, v),
    times(fit('v'), v),
    times(fit('v2'), v, v),
  );
  const name = of === 'planned' ? 'Planned pressure' : 'Pressure with hop creep';
  const term = times(psi, num(BAR_PER_PSI));
  return line(`${name} at ${tempC} C`, 'bar', 'carbonation', term);
}
