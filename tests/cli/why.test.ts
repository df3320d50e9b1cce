// The reasons behind a blend and the share of lots, asked for on the command line.
import { describe, expect, it } from 'vitest';
import { BRIEF, cli } from './run.ts';

const FREEZER = 'seeds/briefs/near-empty-freezer.json';

describe('design --why', () => {
  it('puts the reasons into the JSON', async () => {
    const run = await cli([
      'design',
      FREEZER,
      '--json',
      '--why-not',
      'Nelson Sauvin',
      '--why-not',
      'Mosaic',
    ]);
    expect([run.code, run.err]).toEqual([0, '']);
    const { why, blends } = JSON.parse(run.out);
    expect(why.contributions).toHaveLength(blends[0].additions.length + 1);
    const price = why.prices.find((p: { wish: string }) => p.wish === 'target.tropical');
    expect(price.price).toBeGreaterThan(0);
    expect(why.why_not.map((w: { verdict: string }) => w.verdict)).toEqual(['dearer', 'in_blend']);
  });

  it('says them in text', async () => {
    const { code, out } = await cli(['design', FREEZER, '--why', '--why-not=Nelson Sauvin']);
    expect(code).toBe(0);
    expect(out).toContain('What each addition brings');
    expect(out).toMatch(
      /^- tropical at least 2.6: a cost of [\d.]+ for the last 0.1 in intensity/m,
    );
    expect(out).toMatch(
      /^Why not Nelson Sauvin: the best blend with it takes a cost of [\d.]+ more\./m,
    );
  });

  it('names what clashes', async () => {
    const { code, out } = await cli(['design', 'seeds/briefs/clash.json', '--why']);
    expect(code).toBe(0);
    expect(out).toContain('These cannot be met together');
    expect(out).toMatch(/^- citrus at most [\d.]+: [\d.]+ is enough if all else stays$/m);
  });

  it('says nothing of it where it is not asked', async () => {
    const { out } = await cli(['design', FREEZER]);
    expect(out).not.toContain('What the wishes cost');
  });
});

describe('design --hold', () => {
  it('puts the blend that holds first and says what it takes', async () => {
    const run = await cli(['design', '-', '--hold', '80'], JSON.stringify(BRIEF));
    expect([run.code, run.err]).toEqual([0, '']);
    expect(run.out).toMatch(/The first blend holds in [\d.]+ % of 500 drawn lots/);
  });

  it('shows the blend once where the one for an average lot holds already', async () => {
    const run = await cli(['design', '-', '--hold', '1'], JSON.stringify(BRIEF));
    expect([run.code, run.err]).toEqual([0, '']);
    expect(run.out).not.toContain('Other blends');
    const said = run.out.replaceAll(/\s+/g, ' ');
    expect(said).toContain('It takes no more than the blend for an average lot, which holds in');
  });

  it.each(['0', '101', 'most', ''])('refuses %j', async (percent) => {
    const run = await cli(['design', FREEZER, `--hold=${percent}`]);
    expect([run.code, run.out]).toEqual([2, '']);
    expect(run.err).toContain('--hold');
  });

  it('is for design only', async () => {
    expect((await cli(['predict', FREEZER, '--why'])).code).toBe(2);
  });
});
