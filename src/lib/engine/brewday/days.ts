// The day after the brew on which each dry hop begins and ends, and on which the beer is chilled and packaged.
// A day stated by the stage holds; otherwise a dry hop on live yeast goes in early, one after fermentation when
// that is over, and the next one when the one before has ended.
import type { StageUse } from '#shared/stages/stages.ts';
import { HOURS_PER_DAY } from '#shared/units.ts';
import type { SettingsUsed } from './settings.ts';

type DryHopUse = StageUse<'dry_hop'>;

export interface DryHopDays {
  readonly use: DryHopUse;
  /** In days after the brew day. */
  readonly begins: number;
  readonly ends: number;
  readonly isUsual: boolean;
}

export interface BrewDays {
  readonly dryHops: readonly DryHopDays[];
  readonly crash: number;
  readonly package: number;
}

export function brewDays(uses: readonly StageUse[], settings: SettingsUsed): BrewDays {
  let free = settings.fermentationDays;
  const dryHops = uses.flatMap((use): DryHopDays[] => {
    if (use.kind !== 'dry_hop') return [];
    const { day, hours, live_yeast } = use.conditions;
    const begins = day ?? (live_yeast ? settings.earlyDryHopDay : free);
    const ends = begins + Math.ceil(hours / HOURS_PER_DAY);
    free = Math.max(free, ends);
    return [{ use, begins, ends, isUsual: day === undefined }];
  });
  dryHops.sort((a, b) => a.begins - b.begins);
  return { dryHops, crash: free, package: free + settings.crashDays };
}

/** The ISO day that many days after an ISO day. */
export function dayAfter(day: string, days: number): string {
  const time = Date.parse(`${day}T00:00:00Z`) + days * HOURS_PER_DAY * 3_600_000;
  return new Date(time).toISOString().slice(0, 10);
}
