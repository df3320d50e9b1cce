// The verb sheet: the brew sheet of a schedule, or of the first blend designed for a brief.
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { isFields } from '#shared/fields.ts';
import { withProvenance } from '#shared/evidence/provenance.ts';
import { readJson } from '#shared/reading/json.ts';
import { readSchedule } from '#shared/reading/read.ts';
import { predict } from '#engine/answer/answer.ts';
import { sheetOf, type SheetPrediction } from '#engine/brewday/sheet.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { DesignOptions } from '#optimize/questions/options.ts';
import { sheetCalendar } from '#sheets/calendar.ts';
import { sheetHtml } from '#sheets/html.ts';
import { sheetText } from '#sheets/text.ts';
import type { SheetForm } from './options.ts';
import type { Answered } from './predict.ts';
import { designed } from './designing.ts';
import { blendShown, type SearchRequest } from './searching.ts';

interface SheetInput {
  readonly design: Design;
  readonly prediction: SheetPrediction;
}

function ofSchedule(text: string, base: Model): Outcome<SheetInput> {
  const schedule = readSchedule(text);
  if (!schedule.ok) return schedule;
  const model = modelFor(base, schedule.value);
  const design = designOf(model, schedule.value);
  if (!design.ok) return design;
  return success({ design: design.value, prediction: predict(model, design.value) });
}

function ofBrief(text: string, request: SearchRequest<DesignOptions>): Outcome<SheetInput> {
  const outcome = designed(text, request);
  if (!outcome.ok) return outcome;
  const { brief, answer } = outcome.value;
  const [first] = answer.blends;
  if (!first) {
    return failure({
      path: 'target',
      message: 'no blend was found, so there is nothing to brew',
      cure: 'Run design on the same file: it tells what keeps a blend out',
    });
  }
  return success({ design: blendShown(request.base, brief, first).design, prediction: first });
}

export interface SheetRequest extends SearchRequest<DesignOptions> {
  readonly form: SheetForm;
  /** ISO day; today for a calendar where nobody said. */
  readonly brewedOn: string | undefined;
  readonly now: Date;
}

/** The sheet of the document in a text. Fails with every problem of the document. */
export function sheetVerb(text: string, request: SheetRequest): Outcome<Answered> {
  const { value, problems } = readJson(text);
  if (problems.length > 0) return failure(...problems);
  const brew =
    isFields(value) && 'additions' in value
      ? ofSchedule(text, request.base)
      : ofBrief(text, request);
  if (!brew.ok) return brew;
  const { form, now } = request;
  const today = now.toISOString().slice(0, 10);
  const brewed_on = request.brewedOn ?? (form === 'ics' ? today : undefined);
  const { design, prediction } = brew.value;
  const sheet = sheetOf(request.base, design, prediction, { brewed_on });
  const json = withProvenance('sheet', sheet);
  if (form === 'html') return success({ json, text: sheetHtml(sheet) });
  if (form === 'text') return success({ json, text: sheetText(sheet) });
  const id = design.name.toLowerCase().replace(/[^a-z0-9]+/g, '-') || 'brew';
  const calendar = sheetCalendar(sheet, id, now);
  return calendar.ok ? success({ json, text: calendar.value }) : calendar;
}
