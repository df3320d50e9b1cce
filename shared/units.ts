// The metric units everything is computed and stored in, as types of numbers; and the units people read and
// type. Each quantity is one affine rule per system, so that the way back is the exact inverse.

declare const inUnit: unique symbol;
/**
 * A number in a unit. Two units do not mix: a temperature where a time belongs does not compile. A plain number fits
 * every unit, and arithmetic gives plain numbers; engine/DECISIONS.md says why.
 */
export type In<Unit extends string> = number & { readonly [inUnit]?: Unit };
export type Grams = In<'g'>;
export type GramsPerLitre = In<'g/L'>;
export type MilligramsPerLitre = In<'mg/L'>;
export type MicrogramsPerLitre = In<'ug/L'>;
export type LitresPerGram = In<'L/g'>;
export type Litres = In<'L'>;
export type Celsius = In<'C'>;
export type Minutes = In<'min'>;
export type Hours = In<'h'>;
export type Months = In<'months'>;
export type Percent = In<'%'>;
/** Of oil in hops. */
export type MillilitresPer100Grams = In<'mL/100 g'>;

/** The unit in which a figure of a hop is given, as its id ends. */
export type UnitOf<Id extends string> = Id extends `${string}_pct_of_${infer Whole}`
  ? In<`% of ${Whole}`>
  : Id extends `${string}_pct`
    ? Percent
    : Id extends `${string}_ml_per_100g`
      ? MillilitresPer100Grams
      : Id extends `${string}_ug_per_kg`
        ? In<'ug/kg'>
        : Id extends `${string}_mg_per_kg`
          ? In<'mg/kg'>
          : number;

export const UNIT_SYSTEMS = ['metric', 'us'] as const;
export type UnitSystem = (typeof UNIT_SYSTEMS)[number];

/** Grams in one avoirdupois ounce, exact by definition. */
export const GRAMS_PER_OUNCE = 28.349523125;
/** Grams in one avoirdupois pound, exact by definition. */
export const GRAMS_PER_POUND = 453.59237;
/** Litres in one US liquid gallon, exact by definition. */
export const LITRES_PER_GALLON = 3.785411784;
/** Litres in one imperial gallon, exact by definition. */
export const LITRES_PER_IMPERIAL_GALLON = 4.54609;

/** Kelvin at 0 C, exact by definition. */
export const KELVIN_AT_0_C = 273.15;
export const HOURS_PER_DAY = 24;

/** What a figure measures; the comment names the unit it is stored in. */
export const QUANTITIES = [
  'hop_mass', // g
  'volume', // L
  'temperature', // C
  'dose', // g/L
  'price', // money per kg
  'share', // fraction of one
] as const;
export type Quantity = (typeof QUANTITIES)[number];
/** The unit it is stored in. */
export interface Stored extends Record<Quantity, number> {
  readonly hop_mass: Grams;
  readonly volume: Litres;
  readonly temperature: Celsius;
  readonly dose: GramsPerLitre;
}

/** `shown = stored * factor + offset`. */
interface Unit {
  readonly label: string;
  readonly factor: number;
  readonly offset: number;
}

const unit = (label: string, factor = 1, offset = 0): Unit => ({ label, factor, offset });

const UNITS: Readonly<Record<Quantity, Readonly<Record<UnitSystem, Unit>>>> = {
  hop_mass: { metric: unit('g'), us: unit('oz', 1 / GRAMS_PER_OUNCE) },
  volume: { metric: unit('L'), us: unit('gal', 1 / LITRES_PER_GALLON) },
  temperature: { metric: unit('°C'), us: unit('°F', 1.8, 32) },
  dose: { metric: unit('g/L'), us: unit('oz/gal', LITRES_PER_GALLON / GRAMS_PER_OUNCE) },
  price: { metric: unit('per kg'), us: unit('per lb', GRAMS_PER_POUND / 1000) },
  share: { metric: unit('%', 100), us: unit('%', 100) },
};

/** The unit's name as written beside a figure. */
export function unitLabel(quantity: Quantity, system: UnitSystem): string {
  return UNITS[quantity][system].label;
}

/** A stored metric figure in the unit shown to people. */
export function toShown<Q extends Quantity>(
  stored: Stored[Q],
  quantity: Q,
  system: UnitSystem,
): number {
  const { factor, offset } = UNITS[quantity][system];
  return stored * factor + offset;
}

/** A figure typed in the shown unit, in the metric unit it is stored in. */
export function toStored<Q extends Quantity>(
  shown: number,
  quantity: Q,
  system: UnitSystem,
): Stored[Q] {
  const { factor, offset } = UNITS[quantity][system];
  return (shown - offset) / factor;
}
