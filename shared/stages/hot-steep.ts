// The hot steep as a stage of a document: hops in the hot wort of the kettle after the boil, or in hot
// liquor of their own that joins the beer before fermentation.
import { above, figure, positive, rule } from '#shared/rules.ts';
import type { Celsius, Litres, Minutes } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { kindOfStage } from './kind.ts';

/** How wort cools after the rest of a hot steep, the hops still in it. */
export const coolingSchema = onFirstUse(() =>
  z
    .strictObject({
      to_c: figure<Celsius>(0, 99, 'the temperature at the end of the cooling, in C'),
      minutes: positive<Minutes>(600, 'the length of the cooling in minutes'),
    })
    .check(z.describe('how the wort cools after the rest, hops still in it')),
);
export type Cooling = z.infer<typeof coolingSchema>;

export const hotSteep = kindOfStage({
  name: 'Hot steep',
  conditions: onFirstUse(() =>
    z
      .strictObject({
        temp_c: figure<Celsius>(30, 100, 'the steep temperature in C'),
        minutes: figure<Minutes>(0, 240, 'the length of the steep in minutes'),
        closed: z._default(
          z.boolean().check(z.describe('whether the steep is closed, so that no vapour leaves')),
          false,
        ),
        /** Left out: in the kettle's own wort. */
        liquor_l: z.optional(
          positive<Litres>(1_000_000, 'the volume of liquor of its own that joins the beer, in L'),
        ),
        /** Left out: the hops leave the heat, or the wort is chilled at once. */
        cooling: z.optional(coolingSchema),
      })
      .check(
        z.refine(
          (s) => !s.cooling || above(s.temp_c, s.cooling.to_c),
          rule(
            'the cooling does not end below the steep temperature',
            'Lower cooling.to_c, or leave cooling out',
          ),
        ),
      ),
  ),
  usual: { temp_c: 80, minutes: 20, closed: false },
  // Of type 90 pellets 2 to 8 g/L are common; enriched ones hold about twice as much by the gram.
  usualMost: 5,
  fields: {
    figures: [
      { field: 'temp_c', label: (stage) => `${stage} temperature`, quantity: 'temperature' },
      { field: 'minutes', label: (stage) => `${stage} time`, unit: 'min', step: 5 },
      {
        field: 'liquor_l',
        label: () => 'In liquor of its own',
        quantity: 'volume',
        optional: true,
      },
    ],
    choices: [{ field: 'closed', label: 'Closed vessel' }],
    parts: [
      {
        field: 'cooling',
        label: 'Cools slowly, hops still in it',
        // Usual figures of the trade.
        starts: { to_c: 20, minutes: 30 },
        figures: [
          { field: 'to_c', label: () => 'Cools to', quantity: 'temperature' },
          { field: 'minutes', label: () => 'Cooling time', unit: 'min', step: 5 },
        ],
      },
    ],
  },
  conditionsWords: (
    { temp_c, minutes, closed, cooling, liquor_l },
    { temperature, volume, time },
  ) => {
    const after = cooling
      ? `, then to ${temperature(cooling.to_c)} in ${time(cooling.minutes, 'min')}`
      : '';
    const where = liquor_l === undefined ? '' : `in ${volume(liquor_l)} of liquor, `;
    return `${where}${temperature(temp_c)}, ${time(minutes, 'min')}, ${closed ? 'closed' : 'open'}${after}`;
  },
  cautions: [
    'Hot wort and hot water scald: open and move a steep with gloves and face protection, and never shut one tight without a vent.',
  ],
  words: [
    ...['steep', 'stand', 'hopstand', 'whirlpool', 'wp'],
    ...['nachisomerisierung', 'heisshopfung', 'virivakad', 'virivka', 'remolino', 'tourbillon'],
  ],
  listed: { time: { field: 'minutes', perMinute: 1 }, temperature: 'temp_c' },
  recipes: { beerxml: 'Aroma', beerjson: 'add_to_boil' },
  practices: [
    // The wort just off the boil.
    {
      name: 'Flame-out',
      words: [
        ...['flameout', 'knockout', 'endofboil', 'endoftheboil', 'kochende', 'koncivaru'],
        ...[
          'konecvaru',
          'vyrazeni',
          'horsfeu',
          'horsflamme',
          'findebullition',
          'arretdufeu',
          'apagado',
        ],
        ...['fuegoapagado', 'findehervor', 'finaldehervor', 'finaldelhervor', 'findelhervor'],
      ],
      conditions: { temp_c: 95 },
    },
  ],
  placedBy: 'temp_c',
  latestFirst: true,
});
