// The verb predict in a process of its own: text, JSON, standard input, known answers, unknowns.
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import { ROOT, SCHEDULE, cli, fileWith } from './run.ts';

describe('a hop nobody knows, with an analysis of its own', async () => {
  const lone = {
    name: 'Check',
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 0 },
    stages: { dry_hop: { temp_c: 20, hours: 500, mixed: false, live_yeast: false } },
    additions: [
      {
        hop: 'Seedling 14',
        form: 'pellet_90',
        stage: 'dry_hop',
        grams: 80,
        analysis: { total_oil_ml_per_100g: 1.0, linalool_pct_of_oil: 0.5 },
      },
    ],
  };
  const { code, out, err } = await cli(['predict', fileWith(JSON.stringify(lone)), '--json']);
  const answer = JSON.parse(out);

  it('gives the linalool worked out by hand', () => {
    // Content: 1.0 mL oil / 100 g x 0.85 g/mL x 0.5 % = 42.5 ug linalool per g of hop.
    // Dose: 80 g / 20 L = 4 g/L, so 170 ug/L would be in the beer if all went over.
    // Yield: 0.80 at low load (GAHR19), x 1/(1 + 4/15) for the load = 0.63, and after 500 h at
    // 20 C 1 - exp(-0.03 x 500) = 1 of it. 170 x 0.63 = 107 ug/L.
    const byHand = ((1.0 * 0.85 * 0.5 * 100 * 80) / 20) * (0.8 / (1 + 4 / 15));
    expect(byHand).toBeCloseTo(107.37, 1);
    expect(answer.compounds.linalool.ug_per_l / 107).toBeGreaterThan(0.95);
    expect(answer.compounds.linalool.ug_per_l / 107).toBeLessThan(1.05);
    expect([code, err]).toEqual([0, '']);
  });

  it('has null with a reason, and not zero, where nothing is known', () => {
    expect(answer.compounds.myrcene.ug_per_l).toBeNull();
    expect(answer.axes.resin.intensity).toBeNull();
    expect(answer.totals.cost).toBeNull();
    expect(answer.reasons['compounds.myrcene']).toContain('Seedling 14');
    expect(answer.reasons['axes.resin']).toContain('myrcene');
    expect(answer.reasons['totals.cost']).toContain('Seedling 14');
    expect(answer.reasons['totals.ibu']).toContain('alpha_pct');
    expect(answer.axes.floral.knowledge).toBe('at_least');
    expect(answer.unknown[0].figures).toContain('alpha_pct');
  });
});

describe('predict', () => {
  const file = fileWith(JSON.stringify(SCHEDULE));

  it('prints the JSON of the contract, with finite numbers only', async () => {
    const { code, out, err } = await cli(['predict', file, '--json']);
    expect([code, err]).toEqual([0, '']);
    const answer = JSON.parse(out);
    expect(Object.keys(answer.totals)).toEqual(
      expect.arrayContaining([
        'hop_g',
        'hop_g_per_l',
        'leaf_g_per_l',
        'ibu',
        'beer_lost_l',
        'cost',
        'ph_rise',
      ]),
    );
    expect(answer.totals.hop_g).toBe(100);
    expect(answer.totals.hop_g_per_l).toBe(5);
    expect(answer.totals.cost).toBeCloseTo(0.06 * 40 + 0.04 * 20, 9);
    expect(Object.keys(answer.compounds).sort()).toEqual([...COMPOUNDS].sort());
    expect(Object.keys(answer.axes).sort()).toEqual([...AXES].sort());
    for (const { low, ug_per_l, high } of Object.values<Record<string, number>>(answer.compounds)) {
      expect(low).toBeGreaterThanOrEqual(0);
      expect(high).toBeGreaterThanOrEqual(low!);
      expect(Number.isFinite(ug_per_l)).toBe(true);
    }
    expect(answer.compounds.beta_pinene.oav).toBeNull();
    expect(answer.reasons['compounds.beta_pinene.oav']).toContain('threshold');
    expect(answer.cautions.join()).toMatch(/foam/);
  });

  it('prints text with units, bands, evidence and the cautions of a dry hop', async () => {
    const { code, out, err } = await cli(['predict', file]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain('20 L of beer, standard yeast, malt 180 g/L');
    expect(out).toMatch(/^dry hop +Citra +type 90 pellet +60 +3$/m);
    expect(out).toMatch(/^bitterness +[\d.]+ IBU +[\d.]+ to [\d.]+$/m);
    expect(out).toMatch(/^linalool +[\d.]+ +[\d.]+ to [\d.]+ +[\d.]+ +[\d.]+ to [\d.]+ +\w/m);
    expect(out).toMatch(/^citrus +[\d.]+ +[\d.]+ to [\d.]+ +\w+/m);
    expect(out).toContain('foam');
    expect(out).toContain('hop creep');
    expect(out).not.toContain('scald');
  });

  it('says that pH and polyphenols of hot hops are not known, and never zero', async () => {
    const steep = {
      ...SCHEDULE,
      stages: { ...SCHEDULE.stages, hot_steep: { temp_c: 90, minutes: 20, closed: true } },
      additions: [{ ...SCHEDULE.additions[0], stage: 'hot_steep' }],
    };
    const hot = JSON.parse((await cli(['predict', '-', '--json'], JSON.stringify(steep))).out);
    expect([hot.totals.ph_rise, hot.totals.polyphenols_mg_per_l]).toEqual([null, null]);
    const none = { low: null, high: null };
    expect([hot.totals_band.ph_rise, hot.totals_band.polyphenols_mg_per_l]).toEqual([none, none]);
    expect(hot.totals_band.ibu.low).toBeGreaterThan(0);
    expect(hot.reasons['totals.ph_rise']).toContain('hot steep');
    const dry = { ...SCHEDULE.additions[0], stage: 'dry_hop' };
    const both = { ...steep, additions: [...steep.additions, dry] };
    const { out } = await cli(['predict', '-'], JSON.stringify(both));
    expect(out).toContain(
      'pH rise and polyphenols: what hops in the hot steep do to it is not known',
    );
  });

  it('warns of scalding where a hot steep takes hops', async () => {
    const steep = {
      ...SCHEDULE,
      stages: { hot_steep: { temp_c: 90, minutes: 20, closed: true } },
      additions: [{ ...SCHEDULE.additions[0], stage: 'hot_steep' }],
    };
    const { out } = await cli(['predict', '-'], JSON.stringify(steep));
    expect(out).toContain('scald');
    expect(out).not.toContain('foam');
  });

  it('tells what moves it, under the thresholds of one school', async () => {
    const us = fileWith(JSON.stringify({ ...SCHEDULE, thresholds: 'us' }));
    const { code, out } = await cli(['predict', us, '--doubt', '--json']);
    expect(code).toBe(0);
    const { axes, doubt, thresholds, rests_on: resting } = JSON.parse(out);
    expect(thresholds.school).toBe('us');
    expect(thresholds.without_figure).toContain('myrcene');
    for (const axis of AXES) {
      expect([doubt[axis].low, doubt[axis].high]).toEqual([axes[axis].low, axes[axis].high]);
      if (resting[axis]) expect(resting[axis].memory).toBeLessThanOrEqual(1);
    }
    const text = (await cli(['predict', us, '--doubt'])).out;
    expect(text).toContain('Odour thresholds: US type (beer). No figure of that school');
    expect(text).toContain('a lab could measure');
    expect(text).toContain('only research could settle');
    const unknown = fileWith(JSON.stringify({ ...SCHEDULE, thresholds: 'martian' }));
    expect(await cli(['predict', unknown])).toMatchObject({ code: 2, out: '' });
    expect((await cli(['design', us, '--doubt'])).code).toBe(2);
  });

  it('reads standard input, with a byte order mark', async () => {
    const { code, out } = await cli(
      ['predict', '-', '--json'],
      `\uFEFF${JSON.stringify(SCHEDULE)}`,
    );
    expect(code).toBe(0);
    expect(JSON.parse(out)).toEqual(JSON.parse((await cli(['predict', file, '--json'])).out));
  });

  it('answers for a beer without hops', async () => {
    const { code, out } = await cli(
      ['predict', '-', '--json'],
      JSON.stringify({ ...SCHEDULE, additions: [] }),
    );
    expect(code).toBe(0);
    const answer = JSON.parse(out);
    expect([answer.totals.hop_g, answer.totals.cost, answer.compounds.linalool.ug_per_l]).toEqual([
      0, 0, 0,
    ]);
    expect(answer.cautions).toEqual([]);
  });

  it('works through npm', () => {
    const { status, stdout, stderr } = spawnSync(
      'npm',
      ['run', '--silent', 'cli', '--', 'predict', file, '--json'],
      { cwd: ROOT, encoding: 'utf8', shell: process.platform === 'win32' },
    );
    expect([status, stderr]).toEqual([0, '']);
    expect(JSON.parse(stdout).name).toBe('Two dry hops');
  });
});
