// A boil addition as a stage of a document: so many minutes before the end of the boil.
import { figure } from '#shared/rules.ts';
import type { Minutes } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { kindOfStage } from './kind.ts';

export const boil = kindOfStage({
  name: 'Boil',
  conditions: onFirstUse(() =>
    z.strictObject({
      minutes: figure<Minutes>(0, 300, 'the minutes before the end of the boil'),
    }),
  ),
  usual: { minutes: 60 },
  usualForms: ['pellet_90', 'cone'],
  usualMost: 5,
  fields: {
    figures: [
      { field: 'minutes', label: () => 'Before the end of the boil', unit: 'min', step: 5 },
    ],
  },
  conditionsWords: ({ minutes }, { time }) => `${time(minutes, 'min')} before its end`,
  cautions: ['Hops make boiling wort foam over and scald: add them slowly, and stand back.'],
  words: [
    ...['kettle', 'bittering', 'boiling', 'last'],
    ...['kochen', 'kochung', 'wurzekochen', 'hopfenkochen', 'bitterhopfen'],
    ...['var', 'chmelovar', 'vareni'],
    ...['ebullition', 'cuisson'],
    ...['hervor', 'hervido', 'coccion', 'ebullicion', 'amargor'],
  ],
  listed: { time: { field: 'minutes', perMinute: 1 }, bareMinutes: true },
  recipes: { beerxml: 'Boil', beerjson: 'add_to_boil' },
  practices: [
    {
      name: 'First wort',
      words: [
        ...['firstwort', 'firstworthop', 'firstworthops', 'firstworthopping', 'fwh'],
        ...['vorderwurze', 'vorderwuerze', 'vwh', 'prvnisladina', 'predek', 'dopredku'],
        ...['premiermout', 'primermosto'],
      ],
      conditions: {},
      wholeBoil: true,
    },
    {
      name: 'Start of the boil',
      words: [
        ...['startofboil', 'startoftheboil', 'beginningofboil', 'kochbeginn', 'kochanfang'],
        ...['zacatekvaru', 'debutdebullition', 'iniciodehervor', 'iniciodelhervor'],
      ],
      conditions: {},
      wholeBoil: true,
    },
  ],
  placedBy: 'minutes',
  latestFirst: true,
});
