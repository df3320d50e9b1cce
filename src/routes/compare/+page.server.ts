// Runs once, at build time: the first comparison arrives worked out.
import { defaultValues, model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { sideBySide } from '#optimize/questions/side-by-side.ts';
import { askedOf, choicesOf, firstChosen } from '#state/workspace/comparing.ts';
import type { PageServerLoad } from './$types';
import { had, starter } from '../starter.server.ts';

const choices = firstChosen(choicesOf(starter), starter.open);
const asked = askedOf(choices);

export const load: PageServerLoad = () => ({
  /** The just noticeable difference in concentration, a fraction. */
  jnd: defaultValues(model)['aroma.jnd'],
  built: { choices, found: had(finished(sideBySide(model, asked)), 'the first comparison') },
});
