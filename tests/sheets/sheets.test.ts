// The brew sheet: steps in the order of the process, weigh-outs that add up, the heat of a steep in liquor
// of its own, days from a brew day; and its renderings, the calendar read by an independent parser.
import ICAL from 'ical.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dayAfter } from '#engine/brewday/days.ts';
import { sheetCalendar } from '#sheets/calendar.ts';
import { sheetHtml } from '#sheets/html.ts';
import { sheetText } from '#sheets/text.ts';
import { dayWords, sheetWords } from '#sheets/sheet-words.ts';
import { EIGHT_STAGES } from './eight-stages.ts';
import { sheetFor } from './sheet-for.ts';

const WRITTEN = new Date('2026-11-29T12:00:00Z');

const sheet = sheetFor(EIGHT_STAGES, { brewed_on: '2026-12-05', note: 'Gypsum 4 g <b>now</b>' });
const stepAt = (id: string) => sheet.steps.find((step) => step.id === id)!;
const figureOf = (id: string, name: string) =>
  stepAt(id).figures.find((figure) => figure.name === name)!.value;

describe('the steps', () => {
  it('stand in the order of the process, each hop at its stage once', () => {
    expect(sheet.steps.map(({ id }) => id)).toEqual([
      'strike',
      'mash:mash',
      'sparge',
      'boil',
      'boil_hops:boil',
      'boil_hops:late',
      'hot_steep:hot_steep',
      'liquor_steep:tea',
      'chill',
      'join',
      'pitch',
      'dry_hop:early',
      'dry_hop:dry_hop',
      'dry_hop:second',
      'crash',
      'package',
    ]);
    for (const { stage, grams } of EIGHT_STAGES.additions) {
      const weigh = sheet.steps.filter((s) => s.stage === stage).flatMap((s) => s.weigh);
      expect(weigh.map((w) => w.grams)).toContain(grams);
    }
    const weighed = sheet.steps.flatMap((s) => s.weigh).reduce((sum, w) => sum + w.grams, 0);
    expect(weighed).toBeCloseTo(sheet.hop_g, 9);
  });

  it('give clocks that add up to the boil, and say alpha acids of a lot analysed', () => {
    expect(stepAt('boil').timer_min).toBe(60);
    expect(stepAt('boil_hops:boil').timer_min! + stepAt('boil_hops:late').timer_min!).toBe(60);
    expect(stepAt('boil_hops:boil').weigh[0]!.lot).toBe('13.2 % alpha acids');
  });

  it('tell what is in the kettle before the boil, and what of it comes to the package', () => {
    const grams = (of: string) =>
      EIGHT_STAGES.additions.reduce((sum, a) => sum + (a.stage === of ? a.grams : 0), 0);
    // 17 L, 5 L/kg in the hops of boil and kettle steep, 5 % of all left with the break; an hour boils off 8 %.
    const held = 0.005 * (grams('boil') + grams('late') + grams('hot_steep'));
    const after = (17 + held) / 0.95;
    expect(figureOf('boil', 'Pre-boil volume, cold')).toBeCloseTo(after / 0.92, 9);
    expect(figureOf('boil', 'Boiled off')).toBeCloseTo((after / 0.92) * 0.08, 9);
    expect(figureOf('boil', 'Left in the kettle')).toBeCloseTo(after * 0.05, 9);
    const gravity = figureOf('sparge', 'Gravity at the end of the boil');
    expect(figureOf('boil', 'Pre-boil gravity')).toBeCloseTo(1 + (gravity - 1) * 0.92, 9);
    const { beer_lost_l, made_up_l, packaged_l } = sheet.expected;
    expect(made_up_l).toBeCloseTo(held + 0.005 * grams('mash'), 9);
    expect(packaged_l).toBeCloseTo(20 - (beer_lost_l - made_up_l), 9);
    const own = sheetFor(EIGHT_STAGES, { settings: { evaporation_pct_per_h: 0 } });
    const boil = own.steps.find(({ id }) => id === 'boil')!;
    expect(boil.figures.find(({ name }) => name === 'Boiled off')).toEqual({
      name: 'Boiled off',
      value: 0,
      unit: 'L',
    });
  });

  it('cool the wort by as much as the liquor warms it, by hand', () => {
    // Kept by hand: 3 L cold are 2.995 kg of water at 72 C; 17 L of wort of 1.0682 weigh about 18.2 kg and
    // hold 0.883 of the heat of water (16.6 P: 1 - 0.166 x (1 - 1.24/4.18)). 18 - 2.995 x 54/(18.2 x 0.883).
    expect(figureOf('sparge', 'Leave out of the sparge')).toBe(3);
    expect(figureOf('sparge', 'Gravity at the end of the boil')).toBeCloseTo(
      1 + (0.058 * 20) / 17,
      9,
    );
    expect(
      Math.abs(figureOf('chill', 'Wort to') - (18 - (2.995 * 54) / (18.2 * 0.883))),
    ).toBeLessThan(0.15);
    expect(figureOf('join', 'Wort and liquor reach')).toBeCloseTo(18, 2);
  });

  it('say so where the liquor is too hot for any wort', () => {
    const stages = {
      ...EIGHT_STAGES.stages,
      tea: { ...EIGHT_STAGES.stages.tea, liquor_l: 9, temp_c: 90 },
    };
    const join = sheetFor({ ...EIGHT_STAGES, stages }).steps.find(({ id }) => id === 'join')!;
    expect(join.instructions.join(' ')).toMatch(/Too hot to pitch: Cool the liquor to \d+ C/);
  });

  it('carry their cautions, general ones too, and local codes stand at the end', () => {
    expect(stepAt('liquor_steep:tea').cautions.join()).toMatch(/scald/);
    expect(stepAt('dry_hop:dry_hop').cautions.join()).toMatch(/foam.*Carbon dioxide/s);
    expect(stepAt('package').cautions.join()).toMatch(/burst/);
    // Where hops are left behind, and where beer leaves the brewhouse; what stands there is not said again.
    expect(stepAt('chill').cautions.join()).toMatch(/dogs/);
    expect(stepAt('package').cautions.join()).toMatch(/dogs.*law/s);
    expect(sheet.cautions.join()).toMatch(/^Local codes/);
  });

  it('fall on days after the brew day, one dry hop after the other where nobody said', () => {
    expect(stepAt('dry_hop:early')).toMatchObject({ date: '2026-12-07', day_is_usual: false });
    expect(stepAt('dry_hop:dry_hop')).toMatchObject({
      date: '2026-12-12',
      ends_date: '2026-12-15',
      day_is_usual: true,
    });
    expect(stepAt('dry_hop:second')).toMatchObject({ day: 10, ends_day: 12 });
    expect(stepAt('package').date).toBe('2026-12-19');
    expect(dayAfter('2028-02-28', 2)).toBe('2028-03-01');
  });
});

describe('the renderings', () => {
  const text = sheetText(sheet);
  const html = sheetHtml(sheet);

  it('all say every weigh-out, figure and caution', () => {
    for (const step of sheet.steps) {
      for (const { hop } of step.weigh) expect(text).toContain(hop);
      for (const { name } of step.figures) expect(text).toContain(name);
      for (const caution of step.cautions) {
        expect(html).toContain(caution);
        expect(text.replace(/\s+/g, ' ')).toContain(caution);
      }
    }
    expect(text).toContain('7.9 °C');
    expect(sheetText(sheet, 'us')).toContain('°F');
  });

  it('say behind a long time how many days it is', () => {
    const long = sheetWords(sheet, 'metric').steps.find(
      ({ step }) => step.id === 'dry_hop:dry_hop',
    )!;
    expect(long.figures).toContainEqual({ name: 'For', value: '72\u00a0h', rests: ' (3 days)' });
    expect(text).toContain('For: 72 h (3 days)');
  });

  it('give the first and the last day of a step apart, and none on the brew day', () => {
    const { steps } = sheetWords(sheet, 'metric');
    const daysOf = (id: string) => steps.find(({ step }) => step.id === id)!.days;
    const { date, ends_date: until } = stepAt('dry_hop:dry_hop');
    expect(daysOf('dry_hop:dry_hop')).toEqual([`about ${dayWords(date!)}`, dayWords(until!)]);
    expect(daysOf(steps[0]!.step.id)).toEqual([]);
    expect(text).toContain(`${dayWords(date!)} to ${dayWords(until!)}`);
  });

  it('write a day as the formats of the runtime do', () => {
    const written = new Intl.DateTimeFormat('en-GB', {
      timeZone: 'UTC',
      weekday: 'short',
      day: 'numeric',
      month: 'short',
      year: 'numeric',
    });
    for (let day = '2023-12-25'; day < '2025-01-10'; day = dayAfter(day, 1)) {
      const said = written.format(new Date(`${day}T00:00:00Z`)).replace(',', '');
      expect(dayWords(day, true)).toBe(said);
      expect(`${dayWords(day)} ${day.slice(0, 4)}`).toBe(said);
    }
  });

  it('escape what a person typed', () => {
    expect(html).toContain('&lt;b&gt;now&lt;/b&gt;');
    expect(html).not.toContain('<b>now');
    expect(html).not.toContain('<script');
  });

  it('make a calendar that an independent parser reads, line by line no longer than 75 octets', () => {
    const written = sheetCalendar(sheet, 'x', WRITTEN);
    if (!written.ok) throw new Error('no calendar');
    for (const line of written.value.split('\r\n'))
      expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    const calendar = new ICAL.Component(ICAL.parse(written.value) as unknown[]);
    expect(calendar.getFirstPropertyValue('version')).toBe('2.0');
    expect(calendar.getFirstPropertyValue('prodid')).toBeTruthy();
    const events = calendar.getAllSubcomponents('vevent').map((v) => new ICAL.Event(v));
    expect(events.map((e) => [e.summary, e.startDate.toString(), e.endDate.toString()])).toEqual([
      ['Brew Eight stages', '2026-12-05', '2026-12-06'],
      ['early: Eight stages', '2026-12-07', '2026-12-09'],
      ['Dry hop: Eight stages', '2026-12-12', '2026-12-15'],
      ['second: Eight stages', '2026-12-15', '2026-12-17'],
      ['Cold crash: Eight stages', '2026-12-17', '2026-12-18'],
      ['Package: Eight stages', '2026-12-19', '2026-12-20'],
    ]);
    expect(new Set(events.map((e) => e.uid)).size).toBe(events.length);
    expect(events[2]!.description).toContain('60 g Mosaic');
    for (const event of calendar.getAllSubcomponents('vevent'))
      expect(event.getFirstPropertyValue('dtstamp')).toBeTruthy();
  });

  it('refuse a calendar without a brew day, with the cure', () => {
    const none = sheetCalendar(sheetFor(EIGHT_STAGES), 'x', WRITTEN);
    expect(none.ok ? '' : none.problems[0]!.cure).toMatch(/2026-04-03/);
  });

  it('keep what is typed whole in a calendar, whatever it is', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 60 }), (name) => {
        const written = sheetCalendar({ ...sheet, name }, 'x', WRITTEN);
        if (!written.ok) throw new Error('no calendar');
        const calendar = new ICAL.Component(ICAL.parse(written.value) as unknown[]);
        expect(calendar.getAllSubcomponents('vevent')).toHaveLength(6);
      }),
      { numRuns: 200 },
    );
  });
});
