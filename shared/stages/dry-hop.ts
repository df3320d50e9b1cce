// The dry hop as a stage of a document: hops in cold beer, with or without live yeast.
import { count, figure } from '#shared/rules.ts';
import type { Celsius, Hours } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { kindOfStage } from './kind.ts';

/** The caution beside every figure of hop creep. */
export const CREEP_CAUTION =
  'Dry hops let live yeast ferment further (hop creep), and the pressure may burst bottles and cans. A gravity that stands still in cold beer proves nothing: the yeast only rests. Package when it stands still at the temperature of fermentation, or keep the package cold to the last.';

export const dryHop = kindOfStage({
  name: 'Dry hop',
  conditions: onFirstUse(() =>
    z.strictObject({
      temp_c: figure<Celsius>(-2, 35, 'the dry-hop temperature in C'),
      hours: figure<Hours>(0, 2000, 'the contact time in hours'),
      mixed: z._default(
        z.boolean().check(z.describe('whether the hops are kept in motion')),
        false,
      ),
      live_yeast: z._default(
        z.boolean().check(z.describe('whether live yeast is still at work')),
        false,
      ),
      /** Kept with the stage, not used by the equations: they go by temperature and yeast. */
      day: z.optional(count(0, 365, 'the day after pitching it begins on')),
    }),
  ),
  usual: { temp_c: 16, hours: 72, mixed: false, live_yeast: false },
  fields: {
    figures: [
      { field: 'temp_c', label: (stage) => `${stage} temperature`, quantity: 'temperature' },
      { field: 'hours', label: (stage) => `${stage} time`, unit: 'h', step: 12 },
      { field: 'day', label: () => 'Day after pitching', optional: true },
    ],
    choices: [
      { field: 'mixed', label: 'Kept in motion' },
      { field: 'live_yeast', label: 'Live yeast' },
    ],
  },
  conditionsWords: (
    { temp_c, hours, mixed, live_yeast, day },
    { temperature, time, day: numbered },
  ) => {
    const begins = day === undefined ? '' : `from day ${numbered(day)}, `;
    const motion = mixed ? ', kept in motion' : '';
    return `${begins}${temperature(temp_c)}, ${time(hours, 'h')}${motion}${live_yeast ? ', live yeast' : ''}`;
  },
  cautions: [
    'Hops dropped into beer that holds gas make it foam over: let the pressure off first, and add slowly through an opening wider than the foam needs.',
    'Carbon dioxide from a fermenter collects in closed and low rooms and is not noticed in time: ventilate, and follow the local limits.',
    CREEP_CAUTION,
  ],
  words: [
    ...['dryhopping', 'dh', 'fermenter', 'fermentor', 'fermentation', 'secondary'],
    ...['kalthopfung', 'kalthopfen', 'stopfen', 'stopfhopfen', 'gartank', 'lagertank', 'garung'],
    ...['studenechmeleni', 'zastudena', 'kvaseni', 'dokvasovani', 'zrani'],
    ...['acru', 'houblonnageafroid', 'houblonnagesec', 'garde'],
    ...['enseco', 'lupuladoenfrio', 'fermentador', 'fermentacion', 'maduracion'],
  ],
  listed: { time: { field: 'hours', perMinute: 1 / 60 }, temperature: 'temp_c', day: 'day' },
  isCold: true,
  recipes: { beerxml: 'Dry Hop', beerjson: 'add_to_fermentation' },
  placedBy: 'day',
});
