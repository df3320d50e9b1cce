// Schedules as people list them: every stage becomes one of its own, with the conditions the list gives.
// And schedules written as a list.
import { describe, expect, it } from 'vitest';
import { csvRows, csvText } from '#shared/lists/csv.ts';
import { listIn } from '#shared/lists/list.ts';
import { ADDITION_MEANINGS, matchHeaders } from '#shared/lists/lot-columns.ts';
import { listedSchedule, readAddition } from '#shared/lists/schedule-list.ts';
import { scheduleRows } from '#shared/lists/schedule-rows.ts';
import { readStage } from '#shared/lists/stage-words.ts';
import { sentence } from '#shared/outcome.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { drawnSchedule } from '../golden/yardstick.ts';

const LIKE: Stages = {
  mash: { temp_c: 66, minutes: 60, boil_minutes: 75 },
  boil: { minutes: 10 },
  hot_steep: { temp_c: 85, minutes: 15, closed: true },
};

function read(text: string, like: Stages = LIKE) {
  const list = csvRows(text);
  if (!list.ok) throw new Error(text);
  const [head, ...rows] = list.value.rows;
  const meanings = matchHeaders(head!.cells, ADDITION_MEANINGS);
  const reading = { meanings, decimalMark: 'point', form: 'pellet_90' } as const;
  const outcomes = rows.map((row) => readAddition(row, reading).outcome);
  const problems = outcomes.flatMap((o) => (o.ok ? [] : o.problems.map((p) => sentence('', p))));
  const listed = outcomes.flatMap((o) => (o.ok ? [o.value] : []));
  return { problems, schedule: listedSchedule(listed, like) };
}
function readSoundly(text: string, like?: Stages) {
  const { problems, schedule } = read(text, like);
  expect(problems).toEqual([]);
  if (!schedule.ok) throw new Error(JSON.stringify(schedule.problems));
  return schedule.value;
}
const list = (...stages: string[]) =>
  `hop,stage,grams\n${stages.map((s) => `Citra,"${s}",10`).join('\n')}\n`;

describe('a listed schedule', () => {
  it('has a stage for each that is named, with minutes, days and names', () => {
    const { stages, additions } = readSoundly(
      list(
        'Boil',
        'boil 10',
        'First wort',
        'Flame-out',
        'Whirlpool 80 C',
        'Dry hop',
        'Dry hop, day 4',
        'boil 10',
      ),
      {},
    );
    expect(Object.keys(stages)).toEqual([
      'boil',
      'First wort',
      'Boil 10',
      'Flame-out',
      'Whirlpool 80 C',
      'dry_hop',
      'Dry hop, day 4',
    ]);
    expect(stages['boil']).toEqual({ minutes: 60 });
    expect(stages['Boil 10']).toEqual({ kind: 'boil', minutes: 10 });
    expect(stages['First wort']).toEqual({ kind: 'boil', minutes: 60 });
    expect(stages['Flame-out']).toMatchObject({ kind: 'hot_steep', temp_c: 95 });
    expect(stages['Whirlpool 80 C']).toMatchObject({ kind: 'hot_steep', temp_c: 80 });
    expect(stages['Dry hop, day 4']).toMatchObject({ kind: 'dry_hop', day: 4 });
    expect(stages['dry_hop']).not.toHaveProperty('day');
    expect(additions.map((a) => a.stage)).toEqual([
      ...['boil', 'Boil 10', 'First wort', 'Flame-out', 'Whirlpool 80 C', 'dry_hop'],
      ...['Dry hop, day 4', 'Boil 10'],
    ]);
  });

  it('takes from the design what the list does not tell', () => {
    const { stages } = readSoundly(list('Whirlpool', 'whirlpool 70 C', 'Boil', 'FWH', 'dh'));
    expect(stages).toEqual({
      mash: LIKE.mash,
      FWH: { kind: 'boil', minutes: 75 },
      boil: { minutes: 60 },
      hot_steep: LIKE.hot_steep,
      'Whirlpool 70 C': { kind: 'hot_steep', temp_c: 70, minutes: 15, closed: true },
      dry_hop: { temp_c: 16, hours: 72, mixed: false, live_yeast: false },
    });
  });

  it('reads columns of time, temperature and day, in either unit', () => {
    const { stages } = readSoundly(
      'Hop,Use,Time,Temp F,Day,g\nMagnum,Boil,60,,,5\nCitra,Boil,5 min,,,5\nCitra,Whirlpool,20,176,,5\nCitra,Dry Hop,4 days,,3,5\n',
      {},
    );
    const conditions = Object.values(stages).map((entry) => entry);
    expect(conditions).toEqual([
      { kind: 'boil', minutes: 60 },
      { kind: 'boil', minutes: 5 },
      { kind: 'hot_steep', temp_c: expect.closeTo(80, 9), minutes: 20, closed: false },
      { kind: 'dry_hop', temp_c: 16, hours: 96, day: 3, mixed: false, live_yeast: false },
    ]);
  });

  it('says what cannot be read, with its cure', () => {
    const { problems } = read(
      'hop,stage,time,grams\nCitra,whirlpool 80,,5\nCitra,somewhere,,5\nCitra,dry hop,4,5\nCitra,boil 90 C,,5\nCitra,boil 999,,5\nCitra,,,5\n',
    );
    expect(problems).toEqual([
      'line 2, stage: 80 has no unit. Say what it is, like 80 C, 20 min, 72 h, 4 days or day 4.',
      expect.stringMatching(
        /^line 3, stage: "somewhere" is no stage known here\. Write mash, boil 60 min/,
      ),
      'line 4, time: 4 has no unit. Write it like 4 days or 72 h.',
      'line 5, stage: a boil has no temperature of its own. Leave it out.',
      expect.stringMatching(/^line 6, stage: 999 cannot be its minutes\. Correct it/),
      'line 7, stage: the field is missing. Say where it goes in.',
    ]);
  });

  it('has at most eight stages, and says so', () => {
    const nine = Array.from({ length: 9 }, (_, i) => `boil ${i + 10}`);
    const { schedule } = read(list(...nine));
    expect(!schedule.ok && schedule.problems.map((p) => sentence('', p))).toEqual([
      'stages: the list has 9 stages, over 8. Give hops of about the same time the same stage in the list.',
    ]);
    expect(read(list(...nine.slice(1))).schedule.ok).toBe(true);
  });
});

it.each([
  ['60 min', 'boil', { minutes: 60 }],
  ['60', 'boil', { minutes: 60 }],
  ['10 minutes', 'boil', { minutes: 10 }],
  ['bittering 45', 'boil', { minutes: 45 }],
  ['Mash hop', 'mash', {}],
  ['mash 66 °C', 'mash', { temp_c: 66 }],
  ['Hop stand 170F 30 min', 'hot_steep', { minutes: 30, temp_c: 76.7 }],
  ['whirlpool @ 79.5C', 'hot_steep', { temp_c: 79.5 }],
  ['Flameout', 'hot_steep', { temp_c: 95 }],
  ['knock-out', 'hot_steep', { temp_c: 95 }],
  ['dry hop 72 h', 'dry_hop', { hours: 72 }],
  ['Dry-hop 3 days', 'dry_hop', { hours: 72 }],
  ['day 7', 'dry_hop', { day: 7 }],
  ['dry hop 2', 'dry_hop', {}],
] as const)('%s is a %s', (text, kind, conditions) => {
  const stage = readStage(text);
  expect(stage.ok && { kind: stage.value.kind, conditions: stage.value.conditions }).toEqual({
    kind,
    conditions,
  });
});

describe('a schedule as a list', () => {
  it('has a line for each addition, with columns that somebody fills', () => {
    const text = csvText(scheduleRows(drawnSchedule(2)));
    const found = listIn(text, []);
    expect(found.ok).toBe(true);
    expect(text.trimEnd().split('\r\n').length - 1).toBe(drawnSchedule(2).additions.length);
  });
});
