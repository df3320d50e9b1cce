// Figures as people read them: three significant digits, the unit of the chosen system, a true minus.
// The same everywhere, so that the page built beforehand and the page in the browser agree.
import {
  GRAMS_PER_POUND,
  toShown,
  unitLabel,
  type Grams,
  type GramsPerLitre,
  type Quantity,
  type Stored,
  type UnitSystem,
} from '#shared/units.ts';
import type { Band, Warning } from '#shared/answers/prediction.ts';
import type { ConditionFormat } from '#shared/stages/kind.ts';
import { warningText } from '#shared/answers/warnings.ts';
import { decimalsAlike } from '#shared/interval.ts';

/**
 * With at least and at most so many decimals, thousands parted, a true minus. A page writes its first figures by this
 * before it can be used: the browser's own formats, which write the same, take it 10 to 16 ms to set up.
 */
function written(value: number, least: number, most: number): string {
  // Past what can be rounded exactly, or no number at all: no page has such a figure, so it is told as it is.
  if (!(Math.abs(value) * 10 ** most < 2 ** 53)) return String(value);
  // Rounded as it reads: 1.005 is a binary fraction just below that.
  const [read, exponent = '0'] = String(Math.abs(value)).split('e');
  const digits = Math.round(Number(`${read}e${Number(exponent) + most}`));
  const all = String(digits).padStart(most + 1, '0');
  const point = all.length - most;
  const decimals = all.slice(point).replace(/0+$/, '').padEnd(least, '0');
  const whole = all.slice(0, point).replace(/\B(?=(\d{3})+$)/g, ',');
  const size = decimals ? `${whole}.${decimals}` : whole;
  return value < 0 && digits > 0 ? `−${size}` : size;
}

/** At most so many decimals, no trailing zeros, thousands parted. */
export function decimals(value: number, most: number): string {
  return written(value, 0, most);
}

/** Exactly one decimal: intensities and everything on their scale. */
export function intensity(value: number): string {
  return written(value, 1, 1);
}

/** About three significant digits: 1,420; 142; 14.2; 1.42; 0.142. */
export function significant(value: number): string {
  const size = Math.abs(value);
  return decimals(value, size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3);
}

const NO_BREAK = '\u00a0';
/** A figure with its unit, which no line parts. */
export function withUnit(figure: string, unit: string): string {
  return `${figure}${NO_BREAK}${unit}`;
}
/** The same words with plain spaces: for files and programs that look for them. */
export function plainSpaces(words: string): string {
  return words.replaceAll(NO_BREAK, ' ');
}

/** US gallons in a beer barrel, exact by definition (27 CFR 25.11). */
const GALLONS_PER_BARREL = 31;
/** From so many barrels on, a volume is given in them. */
const BARRELS_FROM = 3;

/** A figure with its unit. */
export function quantity<Q extends Quantity>(stored: Stored[Q], of: Q, system: UnitSystem): string {
  const shown = toShown(stored, of, system);
  if (of === 'volume' && system === 'us' && shown >= BARRELS_FROM * GALLONS_PER_BARREL) {
    return withUnit(significant(shown / GALLONS_PER_BARREL), 'bbl');
  }
  const places = of === 'temperature' ? decimals(shown, 1) : significant(shown);
  return withUnit(places, unitLabel(of, system));
}

/** How the conditions of a stage are written. */
export function conditionFormat(system: UnitSystem): ConditionFormat {
  return {
    temperature: (c) => quantity(c, 'temperature', system),
    volume: (l) => quantity(l, 'volume', system),
    time: (value, unit) => withUnit(decimals(value, 0), unit),
    day: (value) => decimals(value, 0),
  };
}

/** The larger unit of hop weights, how many grams it has, and its decimals. */
const LARGE = { metric: ['kg', 1000, 3], us: ['lb', GRAMS_PER_POUND, 2] } as const;
/** From so many of it on, a weight is given in it. */
const LARGE_FROM = 2;

/**
 * Hop weights as scales show them, in the larger unit of the system when there is a lot of it: to the
 * gram of a kilogram; to a tenth of an ounce, below one ounce to a hundredth; to a hundredth of a pound.
 */
export function hopMass(grams: Grams, system: UnitSystem): string {
  return hopMasses([grams], system)(grams);
}

/** Writes hop weights that stand below each other in one unit: the larger one only where each is a lot. */
export function hopMasses(all: readonly Grams[], system: UnitSystem): (grams: Grams) => string {
  const [large, size, most] = LARGE[system];
  const weighed = all.filter((grams) => grams > 0);
  const isLarge = weighed.length > 0 && weighed.every((grams) => grams >= LARGE_FROM * size);
  return (grams) => {
    if (isLarge) return withUnit(decimals(grams / size, most), large);
    if (system === 'metric') return quantity(grams, 'hop_mass', system);
    const ounces = toShown(grams, 'hop_mass', system);
    return withUnit(decimals(ounces, ounces < 1 ? 2 : 1), 'oz');
  };
}

/** A change with its sign, its size in the words of `format`. */
export function signed(change: number, format: (size: number) => string): string {
  const size = format(Math.abs(change));
  if (!/[1-9]/.test(size)) return `± ${size}`;
  return `${change < 0 ? '−' : '+'}${size}`;
}

export function money(amount: number): string {
  return written(amount, 2, 2);
}

/** A fraction as percent; what is not zero never reads as zero. */
export function percent(fraction: number): string {
  const value = fraction * 100;
  if (value > 0 && value < 0.1) return withUnit('less than 0.1', '%');
  return withUnit(decimals(value, value < 10 ? 1 : 0), '%');
}

/** Writes a doubtful figure and the ends of its range alike. */
export function alike(...figures: readonly (number | undefined)[]): (value: number) => string {
  const places = decimalsAlike(figures);
  return (value) => written(value, places, places);
}

/** "18 to 31"; once, where both ends read the same. */
export function band({ low, high }: Partial<Band>, format: (value: number) => string): string {
  if (low === undefined || high === undefined) return '';
  const [from, to] = [format(low), format(high)];
  return from === to ? from : `${from} to ${to}`;
}

/** An odour activity value with its times sign. */
export function timesThreshold(oav: number): string {
  if (oav === 0) return '0';
  return oav < 0.01 ? '< 0.01' : decimals(oav, oav >= 10 ? 0 : oav >= 1 ? 1 : 2);
}

/** A unit as it is written on the page. */
export function shownUnit(unit: string): string {
  return unit === '-' ? '' : unit.replace(/^ug\b/, 'µg');
}

/** Why a cost is not known, by the hops that lack a price. */
export function noPriceFor(hops: readonly string[]): string {
  return `no price for ${listed(hops)}`;
}

/** A warning in words, doses in the chosen system. */
export function warned(warning: Warning, system: UnitSystem): string {
  const dose = (gPerL: GramsPerLitre) => quantity(gPerL, 'dose', system);
  return warningText(warning, { dose, plain: significant, percent });
}

/** "a, b and c". */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
