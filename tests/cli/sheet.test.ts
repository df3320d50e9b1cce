// The verb sheet in a process of its own: every form of it, a brief as well as a schedule, and bad input.
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { numberPaths, patternsOf } from '#shared/evidence/provenance.ts';
import { EIGHT_STAGES } from '../sheets/eight-stages.ts';
import { cli, fileWith } from './run.ts';

const file = fileWith(JSON.stringify(EIGHT_STAGES));

describe('sheet', () => {
  it('prints the steps as text', async () => {
    const { code, out, err } = await cli(['sheet', file, '--date', '2026-12-05']);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/^Eight stages\nSat 5 Dec 2026, 20 L of beer/);
    expect(out).toMatch(/\[ \] 16\. Package/);
  });

  it('prints JSON in which every number has a pattern of provenance', async () => {
    const { code, out, err } = await cli(['sheet', file, '--json']);
    expect([code, err]).toEqual([0, '']);
    const { provenance, ...sheet } = JSON.parse(out);
    expect(sheet.steps).toHaveLength(16);
    expect(sheet.brewed_on).toBeNull();
    const bare = numberPaths(sheet).filter((path) => patternsOf(provenance, path).length !== 1);
    expect(bare).toEqual([]);
  });

  it('prints a calendar that begins today unless a day is given, and a page', async () => {
    const printed = await cli(['sheet', file, '--ics', '--date=2026-12-05']);
    expect(printed.code).toBe(0);
    const calendar = new ICAL.Component(ICAL.parse(printed.out) as unknown[]);
    expect(calendar.getAllSubcomponents('vevent')).toHaveLength(6);
    expect((await cli(['sheet', file, '--ics'])).out).toContain('DTSTART;VALUE=DATE:20');
    expect((await cli(['sheet', file, '--html'])).out).toMatch(/^<!doctype html>/);
  });

  it('takes a brief for the sheet of its first blend', async () => {
    const { brief } = SEED_BRIEFS.find(({ id }) => id === 'near-empty-freezer')!;
    const { code, out } = await cli(['sheet', fileWith(JSON.stringify(brief)), '--json']);
    expect(code).toBe(0);
    const sheet = JSON.parse(out);
    expect(sheet.hop_g).toBeGreaterThan(0);
    expect(sheet.steps.at(-1).id).toBe('package');
  });

  it.each<[string, string[], RegExp]>([
    ['a stage nobody described', [], /additions\[0\]\.stage.*Add stages\.mash/],
    ['a day that is none', ['--date', 'soon'], /--date.*"soon" is not a day\. Give a day like/],
    ['two forms at once', ['--ics', '--html'], /--html.*cannot go with --ics\. Keep one/],
  ])('refuses %s', async (_, more, refusal) => {
    const stages =
      more.length > 0 ? EIGHT_STAGES.stages : { ...EIGHT_STAGES.stages, mash: undefined };
    const input = JSON.stringify({ ...EIGHT_STAGES, stages });
    const { code, out, err } = await cli(['sheet', '-', ...more], input);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(refusal);
  });
});
