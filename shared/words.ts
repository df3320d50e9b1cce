// What ids are called by people: on screen, in print, by a screen reader, in the terminal.
import type { AxisId, FormId, SchoolId, Status, YeastId } from './ids.ts';

export const AXIS_NAMES: Readonly<Record<AxisId, string>> = {
  citrus: 'Citrus',
  tropical: 'Tropical',
  stone_fruit: 'Stone fruit',
  berry: 'Berry',
  floral: 'Floral',
  resin: 'Resin',
  herbal_spice: 'Herbal, spice',
  woody_earthy: 'Woody, earthy',
  grassy: 'Grassy',
  onion_garlic: 'Onion, garlic',
};

export const FORM_NAMES: Readonly<Record<FormId, string>> = {
  pellet_90: 'type 90 pellet',
  pellet_enriched: 'lupulin-enriched pellet',
  cone: 'whole cone',
};

export const YEAST_NAMES: Readonly<Record<YeastId, string>> = {
  standard: 'Standard',
  thiol_releasing: 'Thiol-releasing',
};

/** Whose odour thresholds are used. */
export const SCHOOL_NAMES: Readonly<Record<SchoolId, string>> = {
  middle: 'Middle of all',
  japanese: 'Japanese type (dilute ethanol)',
  us: 'US type (beer)',
};

/** How a figure came about, as written beside it. */
export const STATUS_NAMES: Readonly<Record<Status, string>> = {
  seen: 'measured, read in a source',
  derived: 'computed from sources',
  printed: 'printed range, no laboratory named',
  memory: 'from memory',
  reported: 'reported by tasters',
  estimated: 'estimated',
  analysis: 'your own analysis',
  yours: 'yours, from your own tables',
};

/** A name inside a sentence or a table of the terminal: small letters. */
export function spoken(name: string): string {
  return name.charAt(0).toLowerCase() + name.slice(1);
}
