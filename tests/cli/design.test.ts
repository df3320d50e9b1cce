// The verb design in a process of its own: text, JSON, standard input, stock lists, the closest
// blend when nothing meets the wishes.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { randomBrief } from '../optimize/support/instances.ts';
import { BRIEF, cli, cliProcess, fileWith } from './run.ts';

const file = fileWith(JSON.stringify(BRIEF));

describe('design', () => {
  const { code, out, err } = cliProcess(['design', file, '--json']);
  const answer = JSON.parse(out);
  const [best] = answer.blends;

  it('prints the JSON of the contract', () => {
    expect([code, err]).toEqual([0, '']);
    expect(answer.status).toBe('optimal');
    expect(answer.gap).toBeGreaterThanOrEqual(0);
    expect(answer.lower_bound).toBeLessThanOrEqual(best.totals.hop_g + 1e-6);
    expect(answer.milliseconds).toBeGreaterThan(0);
    expect(best.worst_miss).toBe(0);
    expect(Object.keys(best.axes).sort()).toEqual([...AXES].sort());
    for (const { stage, grams } of best.additions) {
      expect(STAGE_KINDS).toContain(stage);
      expect(Number.isInteger(grams)).toBe(true);
      expect(grams).toBeGreaterThanOrEqual(5);
    }
    expect(best.axes.citrus.intensity).toBeGreaterThanOrEqual(2 - 1e-9);
    expect(best.axes.floral.intensity).toBeGreaterThanOrEqual(2 - 1e-9);
    expect(answer.why).toHaveProperty('left_out');
  });

  it('says of its blend what predict says of it', async () => {
    const { name, batch, stages } = BRIEF;
    const schedule = { name, batch, stages, additions: best.additions };
    const predicted = JSON.parse(
      (await cli(['predict', '-', '--json'], JSON.stringify(schedule))).out,
    );
    expect(predicted.totals).toEqual(best.totals);
    for (const axis of AXES) {
      expect(predicted.axes[axis].intensity).toBeCloseTo(best.axes[axis].intensity, 9);
    }
  });

  it('prints text: proof, blend, wishes beside what they got, cautions', async () => {
    const run = await cli(['design', '-'], JSON.stringify(BRIEF));
    expect([run.code, run.err]).toEqual([0, '']);
    expect(run.out).toContain('Proven best');
    expect(run.out).toMatch(
      /^(hot steep|dry hop) +(Citra|Centennial) +type 90 pellet +\d+ +[\d.]+$/m,
    );
    expect(run.out).toMatch(/^citrus +at least 2 +[\d.]+ +[\d.]+ to [\d.]+/m);
    expect(run.out).toContain('Take care:');
    expect(run.out).not.toContain('\r');
  });

  it('takes its candidates from a stock list', async () => {
    const stock = fileWith(
      '\uFEFFhop;form;grams_on_hand;price_per_kg;harvest_year;alpha_pct\nCentennial;pellet_90;250;30;2025;10\nCascade;cone;500;20;;\n',
      'stock.csv',
    );
    const run = await cli(['design', file, '--stock', stock, '--json', '--time-limit', '20']);
    expect([run.code, run.err]).toEqual([0, '']);
    const hops: string[] = JSON.parse(run.out).blends[0].additions.map(
      (a: { hop: string }) => a.hop,
    );
    expect(hops.length).toBeGreaterThan(0);
    for (const hop of hops) expect(['Centennial', 'Cascade']).toContain(hop);
  });
});

describe('what else a design can be asked', () => {
  it('is to buy whole packages, and to say what is left of them', async () => {
    const stock = fileWith(
      'hop,form,price_per_kg,package_g\nCentennial,pellet_90,30,100\n',
      'a.csv',
    );
    const asked = JSON.stringify({ ...BRIEF, minimise: 'cost' });
    const json = await cli(['design', '-', '--stock', stock, '--json'], asked);
    expect([json.code, json.err]).toEqual([0, '']);
    const [blend] = JSON.parse(json.out).blends;
    const [{ packages, grams_left, package_g }] = blend.purchases;
    expect(package_g).toBe(100);
    expect(blend.totals.cost).toBeCloseTo(packages * 3, 9);
    expect(blend.totals.hop_g + grams_left).toBeCloseTo(packages * 100, 9);
    const { out } = await cli(['design', '-', '--stock', stock], asked);
    expect(out).toMatch(
      /Centennial, type 90 pellet: \d+ packages? of 100 g, cost \d+, .* g left over/,
    );
  });

  it('is the closest match to the aims', async () => {
    const target = { citrus: { aim: 3, within: 0.5 }, floral: { aim: 1, within: 0.5 } };
    const asked = JSON.stringify({ ...BRIEF, target, minimise: 'closest' });
    const { code, out } = await cli(['design', '-'], asked);
    expect(code).toBe(0);
    expect(out).toMatch(/^Proven closest: a largest distance of [\d.]+ in intensity\./m);
  });
});

describe('a bitterness window that hardly any whole weighing steps hit', () => {
  const shape = { hops: 3, forms: 1, stages: ['hot_steep', 'dry_hop'], wishes: 4 } as const;
  const drawn = randomBrief(3000, { ...shape, beerL: 20, step: 5, ibu: true });
  const ibu = drawn.limits.ibu_at_most!;
  const limits = { ...drawn.limits, ibu_at_least: ibu - 1e-6, ibu_at_most: ibu + 1e-6 };

  it('is widened to 0.1 IBU, and it is said so', async () => {
    const asked = JSON.stringify({ ...drawn, minimise: 'closest', limits });
    const { code, out } = await cli(['design', '-'], asked);
    expect(code).toBe(0);
    expect(out).toContain('Proven closest');
    const [, from, to] = /widened to ([\d.]+) to ([\d.]+)/.exec(out.replace(/\s+/g, ' '))!;
    expect(Number(to) - Number(from)).toBeCloseTo(0.1, 9);
    expect(Math.abs((Number(to) + Number(from)) / 2 - ibu)).toBeLessThanOrEqual(0.01);
  });
});

describe('a wish that cannot be met', () => {
  const clash = { ...BRIEF, target: { citrus: { at_most: 1 }, floral: { at_least: 4 } } };

  it('is answered with the closest blend and exit code 0', async () => {
    const { code, out, err } = await cli(['design', '-', '--json'], JSON.stringify(clash));
    expect([code, err]).toEqual([0, '']);
    const answer = JSON.parse(out);
    expect(answer.status).toBe('closest');
    expect(answer.blends[0].worst_miss).toBeGreaterThan(0);
    expect(answer.blends[0].misses.length).toBeGreaterThan(0);
  });

  it('says how far off the aims it is where closeness is asked for, and that none is less so', async () => {
    const steep = { hop: 'Magnum', form: 'pellet_90', stage: 'hot_steep', grams: 20 };
    const asked = {
      ...BRIEF,
      target: { citrus: { aim: 3, within: 0.3 } },
      keep: [steep],
      limits: { ibu_at_most: 0, weigh_step_g: 5 },
      minimise: 'closest',
    };
    const text = (await cli(['design', '-'], JSON.stringify(asked))).out.replace(/\s+/g, ' ');
    const pattern =
      /It is off the aims by up to ([\d.]+) in intensity, 5 IBU counted as 1. Proven: none is off the aims by less than ([\d.]+) /;
    const [, off, least] = pattern.exec(text) ?? expect.fail(text.slice(0, 400));
    expect(Number(off)).toBeGreaterThanOrEqual(Number(least));
  });

  it('says in text what is missed', async () => {
    const { code, out } = await cli(['design', '-'], JSON.stringify(clash));
    expect(code).toBe(0);
    expect(out).toContain('No blend meets every wish and limit.');
    expect(out).toMatch(/^- (floral|citrus): asked .* got .* off by /m);
  });
});
