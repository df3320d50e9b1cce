// Stages of a document: named by key, of four kinds, at most eight; every fault with its cure; and every
// part that names a stage names one of the document.
import { describe, expect, it } from 'vitest';
import { sentence } from '#shared/outcome.ts';
import { readBrief, readSchedule } from '#shared/reading/read.ts';
import { check } from '#shared/reading/check.ts';
import { isStageName, stagesOf, stagesSchema } from '#shared/stages/stages.ts';

const dry = { temp_c: 14, hours: 72 };
const refusals = (stages: unknown) => {
  const read = check(stages, stagesSchema);
  return read.ok ? [] : read.problems.map((p) => sentence('', p));
};
const batch = { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 };
const addition = (stage: string, grams = 20) => ({ hop: 'Citra', form: 'cone', stage, grams });
function scheduled(stages: object, additions: readonly object[], more: object = {}): string[] {
  const read = readSchedule(JSON.stringify({ batch, stages, additions, ...more }));
  return read.ok ? [] : read.problems.map((p) => sentence('f', p));
}

describe('stages', () => {
  it('are named by key, a key that is a kind needs no kind, and they happen by kind', () => {
    const given = {
      second: { kind: 'dry_hop', ...dry, day: 4 },
      dry_hop: dry,
      late: { kind: 'boil', minutes: 10 },
      mash: { kind: 'mash', temp_c: 66, minutes: 60, boil_minutes: 60 },
      boil: { minutes: 60 },
    };
    const stages = stagesSchema.parse(given);
    expect(stagesOf(stages).map(({ key, kind }) => [key, kind])).toEqual([
      ['mash', 'mash'],
      ['late', 'boil'],
      ['boil', 'boil'],
      ['second', 'dry_hop'],
      ['dry_hop', 'dry_hop'],
    ]);
    expect(stages.mash).not.toHaveProperty('kind');
    expect(stages['second']).toEqual({
      kind: 'dry_hop',
      ...dry,
      day: 4,
      mixed: false,
      live_yeast: false,
    });
    expect(stagesSchema.parse(stages)).toEqual(stages);
  });

  it.each([
    [
      { late: { minutes: 10 } },
      'late: the kind of this stage is missing. Say its kind, like "kind": "boil" (known here: mash, boil, hot_steep, dry_hop).',
    ],
    [
      { late: { kind: 'dryhop', ...dry } },
      'late.kind: "dryhop" is not a name known here. Write dry_hop if that is meant, or one of: mash, boil, hot_steep, dry_hop.',
    ],
    [
      { late: { kind: ['dry_hop'], ...dry } },
      'late.kind: a list is not a name known here. Use one of: mash, boil, hot_steep, dry_hop.',
    ],
    [
      { boil: { kind: 'dry_hop', ...dry } },
      'boil: the name boil means another kind than "dry_hop". Give the stage another name, or leave kind out.',
    ],
    [
      { late: { kind: 'boil', minutes: 900 } },
      'late.minutes: 900 is above 300, the largest value allowed. Give the minutes before the end of the boil: a number from 0 up to 300.',
    ],
    [
      { late: { kind: 'boil', minutes: 10, hours: 3 } },
      'late.hours: no such field is known here. Remove it; known here: minutes, kind.',
    ],
    [
      { second: { kind: 'dry_hop', ...dry, day: 1.5 } },
      'second.day: 1.5 is not a whole number from 0 up to 365. Give the day after pitching it begins on: a whole number from 0 up to 365.',
    ],
    [
      Object.fromEntries(
        Array.from({ length: 9 }, (_, i) => [`b${i}`, { kind: 'boil', minutes: i }]),
      ),
      'b8: there are 9 stages, over 8. Take some out, or put hops of about the same time in one stage.',
    ],
  ])('%j are refused with a cure', (stages, expected) => {
    expect(refusals(stages)).toEqual([expected]);
  });

  it('have names a person can read, none of them a trap', () => {
    for (const name of ['late', 'Dry hop, day 4', '2nd', "brewer's (own)", 'Würze +5', '第二']) {
      expect(isStageName(name), name).toBe(true);
    }
    const bad = [
      '',
      ' ',
      '60',
      '-3',
      'a ',
      ' a',
      'a.b',
      'a/b',
      '__proto__',
      'a\nb',
      'x'.repeat(41),
    ];
    for (const name of bad) {
      expect(isStageName(name), name).toBe(false);
      const text = `{${JSON.stringify(name)}:{"kind":"boil","minutes":3}}`;
      expect(refusals(JSON.parse(text))).toEqual([
        expect.stringMatching(/no stage can be called that/),
      ]);
    }
    // Names every object has are names like others.
    const strange = stagesSchema.parse({ constructor: { kind: 'boil', minutes: 5 } });
    expect(stagesOf(strange).map(({ key }) => key)).toEqual(['constructor']);
    expect(scheduled({ boil: { minutes: 5 } }, [addition('constructor')])).toHaveLength(1);
  });
});

describe('what names a stage', () => {
  const stages = { first: { kind: 'dry_hop', ...dry }, second: { kind: 'dry_hop', ...dry } };

  it('names one of the document, reported beside its other faults', () => {
    expect(scheduled(stages, [addition('first'), addition('second')])).toEqual([]);
    expect(scheduled(stages, [addition('secnd'), { ...addition('first'), grams: -1 }])).toEqual([
      'f, additions[1].grams: -1 is negative. Give the weight in g: a number from 0 up to 100000000.',
      'f, additions[0].stage: "secnd" is no stage of this document. Write second if that is meant, or one of: first, second.',
    ]);
    expect(scheduled(stages, [addition('dry_hop')])).toEqual([
      'f, additions[0].stage: "dry_hop" is no stage of this document. Use one of: first, second, or describe it under stages.',
    ]);
    // The name of a kind that nobody uses may stand where nothing goes in.
    expect(scheduled(stages, [addition('mash', 0)])).toEqual([]);
  });

  it('is a limit too', () => {
    const brief = (most: object, stage_forms?: object) => {
      const limits = { stage_at_most_g_per_l: most, stage_forms };
      const document = { batch, stages, target: {}, limits, candidates: 'table' };
      const read = readBrief(JSON.stringify(document));
      return read.ok ? [] : read.problems.map((p) => sentence('f', p));
    };
    expect(brief({ second: 4, mash: 3 })).toEqual([]);
    expect(brief({ dry_hop: 4 })).toEqual([
      'f, limits.stage_at_most_g_per_l.dry_hop: "dry_hop" is no stage of this document. Use one of: first, second, or describe it under stages.',
    ]);
    expect(brief({ second: 400 })).toEqual([
      'f, limits.stage_at_most_g_per_l.second: 400 is above 100, the largest value allowed. Give a number from 0 up to 100.',
    ]);
    expect(brief({}, { second: ['cone'], mash: ['pellet_90'] })).toEqual([]);
    const [strange, ...others] = brief({}, { dry_hop: ['cone'] });
    expect(others).toEqual([]);
    expect(strange).toContain(
      'limits.stage_forms.dry_hop: "dry_hop" is no stage of this document.',
    );
    expect(brief({}, { first: ['leaf'] })[0]).toContain('limits.stage_forms.first[0]');
    expect(brief({}, { first: [] })[0]).toContain('limits.stage_forms.first');
  });
});
