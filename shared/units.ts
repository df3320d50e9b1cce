// Units people read and type, against the metric units everything is computed and stored in.
// Each quantity is one affine rule per system, so that the way back is the exact inverse.

export const UNIT_SYSTEMS = ['metric', 'us'] as const;
export type UnitSystem = (typeof UNIT_SYSTEMS)[number];

/** Grams in one avoirdupois ounce, exact by definition. */
export const GRAMS_PER_OUNCE = 28.349523125;
/** Grams in one avoirdupois pound, exact by definition. */
export const GRAMS_PER_POUND = 453.59237;
/** Litres in one US liquid gallon, exact by definition. */
export const LITRES_PER_GALLON = 3.785411784;

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
export function toShown(stored: number, quantity: Quantity, system: UnitSystem): number {
  const { factor, offset } = UNITS[quantity][system];
  return stored * factor + offset;
}

/** A figure typed in the shown unit, in the metric unit it is stored in. */
export function toStored(shown: number, quantity: Quantity, system: UnitSystem): number {
  const { factor, offset } = UNITS[quantity][system];
  return (shown - offset) / factor;
}
