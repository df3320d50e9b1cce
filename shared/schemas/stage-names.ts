// Whether every part of a document that names a stage names one of its own: additions, kept additions,
// limits by stage. The name of a kind that the document does not use is taken: nothing goes in there.
import { isFields, type Fields } from '#shared/fields.ts';
import { nearestName } from '#shared/names.ts';
import { isStageKind } from '#shared/stages/kinds.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import type { z } from '#shared/zod.ts';
import { STAGE_LIMITS } from './stage-limits.ts';

interface Named {
  readonly path: readonly (string | number)[];
  readonly name: string;
}

function namedIn(document: Fields): Named[] {
  const added = ['additions', 'keep'].flatMap((field) => {
    const list = document[field];
    if (!Array.isArray(list)) return [];
    return list.flatMap((addition: unknown, i): Named[] => {
      const name = isFields(addition) ? addition['stage'] : undefined;
      return typeof name === 'string' ? [{ path: [field, i, 'stage'], name }] : [];
    });
  });
  const limits = document['limits'];
  const limited = STAGE_LIMITS.flatMap((limit) => {
    const parts = isFields(limits) ? limits[limit] : undefined;
    return Object.keys(isFields(parts) ? parts : {}).map((name): Named => {
      return { path: ['limits', limit, name], name };
    });
  });
  return [...added, ...limited];
}

/** The stages a name may be meant for; `null` where nothing is wrong with it. */
function meantBy(name: string, stages: Readonly<Stages>): readonly string[] | null {
  const uses = stagesOf(stages);
  if (uses.some(({ key }) => key === name)) return null;
  if (!isStageKind(name)) return uses.map(({ key }) => key);
  // A kind that goes by other names may be meant for any of them.
  const alike = uses.filter(({ kind }) => kind === name).map(({ key }) => key);
  return alike.length > 0 ? alike : null;
}

/** Reports every part of a document that names no stage of it; part of the schemas of documents. */
export function nameItsStages(document: object, ctx: z.core.$RefinementCtx): void {
  const fields = document as Fields;
  for (const { path, name } of namedIn(fields)) {
    const meant = meantBy(name, fields['stages'] as Stages);
    if (meant === null) continue;
    const near = nearestName(name, meant);
    const known = meant.length > 0 ? `one of: ${meant.join(', ')}` : 'a stage described there';
    const cure = near
      ? `Write ${near} if that is meant, or ${known}`
      : `Use ${known}, or describe it under stages`;
    const message = `${JSON.stringify(name)} is no stage of this document`;
    ctx.addIssue({ code: 'custom', path: [...path], message, params: { cure } });
  }
}

/** Runs also where other parts are at fault, as long as the stages are sound. */
export const STAGES_SOUND: z.core.$ZodSuperRefineParams = {
  when: ({ value, issues }) =>
    isFields(value) &&
    isFields(value['stages']) &&
    !issues.some(({ path }) => path?.[0] === 'stages'),
};
