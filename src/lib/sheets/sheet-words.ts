// A brew sheet in words: figures with their units in the person's system, days by date where there is one.
// Text, page, print and calendar lay these words out and say nothing else.
import { keepingTimeWords } from '#shared/answers/keeping-time.ts';
import { AXES } from '#shared/ids.ts';
import type { BrewSheet, SheetFigure, SheetStep, WeighOut } from '#shared/answers/sheet.ts';
import { GRAMS_PER_POUND, type UnitSystem } from '#shared/units.ts';
import { AXIS_NAMES, FORM_NAMES, spoken, YEAST_NAMES } from '#shared/words.ts';
import {
  alike,
  band,
  decimals,
  hopMass,
  hopMasses,
  intensity,
  quantity,
  significant,
  withUnit,
} from '#wording/format.ts';
import { heldBack } from '#wording/held-back.ts';

const HOURS_IN_DAYS_FROM = 48;

const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];
const MONTHS = 'Jan Feb Mar Apr May Jun Jul Aug Sept Oct Nov Dec'.split(' ');

/**
 * "Fri 3 Apr", with its year where asked; the calendar's own day, whatever the zone. Not by the formats of the browser:
 * to begin with them took half the time in which a sheet is made.
 */
export function dayWords(day: string, withYear = false): string {
  const date = new Date(`${day}T00:00:00Z`);
  const words = [WEEKDAYS[date.getUTCDay()], date.getUTCDate(), MONTHS[date.getUTCMonth()]];
  return [...words, ...(withYear ? [date.getUTCFullYear()] : [])].join(' ');
}

/** A long time in days too. */
function daysWords({ unit, value }: SheetFigure): string {
  return unit === 'h' && value >= HOURS_IN_DAYS_FROM ? `${decimals(value / 24, 1)} days` : '';
}

/** A figure in the unit it is read in; no unit of its own system but temperature, volume and weight. */
function valueWords(value: number, unit: SheetFigure['unit'], system: UnitSystem): string {
  switch (unit) {
    case 'C':
      return quantity(Math.round(value * 10) / 10, 'temperature', system);
    case 'L':
      return quantity(value, 'volume', system);
    case 'kg':
      return system === 'metric'
        ? withUnit(significant(value), 'kg')
        : withUnit(significant((value * 1000) / GRAMS_PER_POUND), 'lb');
    case 'h':
    case 'min':
      return withUnit(significant(value), unit);
    case 'SG':
      return value.toFixed(3);
    case 'vol':
    case 'bar':
      return withUnit(two(value), unit);
  }
}

export interface FigureWords {
  readonly name: string;
  readonly value: string;
  /** Behind it, in brackets: its days, its window, or that it is only what is usual. */
  readonly rests: string;
}

function figureWords(of: SheetFigure, system: UnitSystem): FigureWords {
  const value = valueWords(of.value, of.unit, system);
  const window =
    of.low === undefined || of.high === undefined
      ? ''
      : `${valueWords(of.low, of.unit, system)} to ${valueWords(of.high, of.unit, system)}`;
  const words = [of.usual ? 'usual' : '', daysWords(of), window].filter(Boolean).join(', ');
  return { name: of.name, value, rests: words === '' ? '' : ` (${words})` };
}

export interface WeighOutWords {
  readonly mass: string;
  readonly what: string;
}

function weighOutWords(
  { hop, form, grams, lot }: WeighOut,
  mass: (grams: number) => string,
): WeighOutWords {
  const words = [hop, FORM_NAMES[form], ...(lot === '' ? [] : [lot])];
  return { mass: mass(grams), what: words.join(', ') };
}

export interface StepWords {
  readonly step: SheetStep;
  readonly title: string;
  /** When: "about Fri 10 Apr" or "day 7", or the first and the last day; empty on the brew day. */
  readonly days: readonly string[];
  readonly weigh: readonly WeighOutWords[];
  readonly figures: readonly FigureWords[];
}

function stepDays(step: SheetStep): string[] {
  const { day, date, ends_day: ends, ends_date: until, day_is_usual: isUsual } = step;
  if (day === 0 && ends === null) return [];
  const first = `${isUsual ? 'about ' : ''}${date === null ? `day ${day}` : dayWords(date)}`;
  if (ends === null) return [first];
  return [first, until === null ? `day ${ends}` : dayWords(until)];
}

export interface SheetWords {
  readonly title: string;
  readonly facts: readonly string[];
  readonly steps: readonly StepWords[];
  readonly expected: readonly FigureWords[];
  /** By axis: the intensity and its band. */
  readonly profile: readonly FigureWords[];
  readonly note: string;
  readonly cautions: readonly string[];
}

/** Cautions of a sheet, each where it is needed first; later steps name the same ones no more. */
export function cautionsOnce(steps: readonly SheetStep[]): string[][] {
  const named = new Set<string>();
  return steps.map(({ cautions }) =>
    cautions.filter((caution) => !named.has(caution) && named.add(caution)),
  );
}

const plain = (name: string, value: string, rests = ''): FigureWords => ({ name, value, rests });
/** Doubtful volumes of gas: no more than two digits. */
const two = (value: number) => alike(value)(value);

export function sheetWords(sheet: BrewSheet, system: UnitSystem = 'metric'): SheetWords {
  const { expected } = sheet;
  const ibu = alike(expected.ibu, expected.ibu_band.low, expected.ibu_band.high);
  const weighed = sheet.steps.flatMap(({ weigh }) => weigh.map(({ grams }) => grams));
  const mass = hopMasses(weighed, system);
  const facts = [
    ...(sheet.brewed_on === null ? [] : [dayWords(sheet.brewed_on, true)]),
    `${quantity(sheet.beer_l, 'volume', system)} of beer`,
    `${spoken(YEAST_NAMES[sheet.yeast])} yeast`,
    ...(sheet.gravity_sg === null ? [] : [`original gravity ${sheet.gravity_sg.toFixed(3)}`]),
    `${hopMass(sheet.hop_g, system)} of hops`,
  ];
  return {
    title: sheet.name.trim() || 'Brew sheet',
    facts,
    steps: sheet.steps.map((step) => ({
      step,
      title: step.title,
      days: stepDays(step),
      weigh: step.weigh.map((w) => weighOutWords(w, mass)),
      figures: step.figures.map((f) => figureWords(f, system)),
    })),
    expected: [
      plain('Bitterness', withUnit(ibu(expected.ibu), 'IBU'), ` (${band(expected.ibu_band, ibu)})`),
      plain(
        'Beer held back',
        heldBack(expected.beer_lost_l, system)(expected.beer_lost_l),
        expected.made_up_l > 0
          ? ` (${quantity(expected.made_up_l, 'volume', system)} before the fermenter, made up for)`
          : '',
      ),
      plain('Into the package', quantity(expected.packaged_l, 'volume', system)),
      plain('Hop creep in the tank', withUnit(two(expected.creep_co2_vol), 'vol')),
      plain('Creep still to come', withUnit(two(expected.creep_to_come_vol), 'vol')),
      plain(
        'Aroma best before',
        expected.best_before_on === null
          ? `${keepingTimeWords(expected.best_before_months)} in the package`
          : dayWords(expected.best_before_on, true),
      ),
    ],
    profile: AXES.map((axis) => {
      const { intensity: value, low, high } = expected.axes[axis];
      return plain(AXIS_NAMES[axis], intensity(value), ` (${band({ low, high }, intensity)})`);
    }),
    note: sheet.note.trim(),
    cautions: sheet.cautions,
  };
}
