// The mash as a stage of a document, with the boil that follows it.
import { figure } from '#shared/rules.ts';
import type { Celsius, Minutes } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { kindOfStage } from './kind.ts';

export const mash = kindOfStage({
  name: 'Mash',
  conditions: onFirstUse(() =>
    z.strictObject({
      temp_c: figure<Celsius>(30, 85, 'the mash temperature in C'),
      minutes: figure<Minutes>(0, 600, 'the length of the mash in minutes'),
      boil_minutes: figure<Minutes>(
        0,
        300,
        'the length of the boil that follows the mash, in minutes',
      ),
    }),
  ),
  usual: { temp_c: 66, minutes: 60, boil_minutes: 60 },
  usualForms: ['pellet_90', 'cone'],
  usualMost: 5,
  fields: {
    figures: [
      { field: 'temp_c', label: (stage) => `${stage} temperature`, quantity: 'temperature' },
      { field: 'minutes', label: (stage) => `${stage} time`, unit: 'min', step: 5 },
      { field: 'boil_minutes', label: () => 'Boil after it', unit: 'min', step: 5 },
    ],
  },
  conditionsWords: ({ temp_c, minutes, boil_minutes }, { temperature, time }) =>
    `${temperature(temp_c)}, ${time(minutes, 'min')}, then ${time(boil_minutes, 'min')} boil`,
  // No more dangerous with hops than without.
  cautions: [],
  words: [
    ...['mashhop', 'mashtun', 'maisch', 'rmut', 'vystirk', 'vystirani'],
    ...['empatage', 'macerado', 'maceracion', 'maceration'],
  ],
  listed: { time: { field: 'minutes', perMinute: 1 }, temperature: 'temp_c' },
  recipes: { beerxml: 'Mash', beerjson: 'add_to_mash' },
});
