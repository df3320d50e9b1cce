// Reading swaps and savings: what is missing, what is misnamed, what belongs elsewhere.
import { describe, expect, it } from 'vitest';
import { sentence } from '#shared/outcome.ts';
import { readBrief, readSave, readSwap } from '#shared/reading/read.ts';
import cheaper from '#seeds/schedules/cheaper.json' with { type: 'json' };
import outOfStock from '#seeds/schedules/out-of-stock.json' with { type: 'json' };

function refusals(outcome: ReturnType<typeof readSwap> | ReturnType<typeof readSave>): string[] {
  return outcome.ok ? [] : outcome.problems.map((p) => sentence('it', p));
}

describe('a swap', () => {
  it('of the starter workspace is read', () => {
    const read = readSwap(JSON.stringify(outOfStock));
    expect(read.ok && read.value.replace).toBe('Citra');
  });

  it('without a hop to replace or candidates says so', () => {
    const { replace: _, candidates: __, ...schedule } = outOfStock;
    expect(refusals(readSwap(JSON.stringify(schedule)))).toEqual([
      'it, replace: the field is missing. Give the name of the hop to replace.',
      'it, candidates: the field is missing. Give "table" for the hop table, or a list of lots.',
    ]);
  });

  it('has limits with defaults of their own', () => {
    const { limits: _, ...schedule } = outOfStock;
    const read = readSwap(JSON.stringify(schedule));
    expect(read.ok && read.value.limits).toEqual({ ban: [], require: [] });
  });
});

describe('a schedule to save on', () => {
  it('of the starter workspace is read', () => {
    expect(readSave(JSON.stringify(cheaper)).ok).toBe(true);
  });

  it('takes no hop to replace, and no negative difference', () => {
    const document = { ...cheaper, replace: 'Citra', just_noticeable: -1 };
    expect(refusals(readSave(JSON.stringify(document)))).toEqual([
      'it, just_noticeable: -1 is negative. Give the change in concentration that nobody should notice, as a fraction like 0.25: a number from 0 up to 5.',
      'it, replace: no such field is known here. It belongs to a schedule with a hop to replace (verb swap): remove it, or use that verb.',
    ]);
  });
});

describe('a brief', () => {
  it('may keep additions, each checked like any other', () => {
    const brief = {
      ...cheaper,
      additions: undefined,
      target: {},
      candidates: 'table',
      keep: [{ ...cheaper.additions[0]!, grams: -1 }],
    };
    const read = readBrief(JSON.stringify(brief));
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.problems.map((p) => p.path)).toEqual(['keep[0].grams']);
  });
});
