// A workbench with a played search: what it asks of the search is kept in lists, and the test gives the answers.
import type { Blend } from '#shared/answers/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Designed } from '#optimize/worker/protocol.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { Workbench } from '#state/workbench/workbench.svelte.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';

export const demo: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);

/** An answer whose blend misses a wish by so much. */
export const designed = (worst_miss: number): Designed => ({
  answer: {
    status: 'optimal',
    lower_bound: 0,
    gap: 0,
    milliseconds: 1,
    blends: [{ worst_miss, additions: [] as Blend['additions'] } as Blend],
    why: { left_out: [], notes: [] },
  },
  evidence: [],
});

/** An edit: the wish for the floral note. */
export const wish = (aim: number) => (brief: Brief) => ({
  ...brief,
  target: { ...brief.target, floral: { aim, within: 0.3 } },
});

/** @param table names of the hop table. */
export function playedWorkbench(table?: readonly string[]) {
  const asked: Brief[] = [];
  const dragged: Brief[] = [];
  const readied: Brief[] = [];
  const taught: (Learned | null)[] = [];
  const workspace = new Workspace(workspaceOf([savedDesign(demo)]));
  const workbench = new Workbench(workspace, designed(0), workspace.open, table);
  workbench.useSearcher({
    design: (brief) => asked.push(brief),
    live: (brief) => dragged.push(brief),
    ready: (brief) => readied.push(brief),
    teach: (knowledge) => taught.push(knowledge.learned),
    stop: () => {},
  });
  return { workspace, workbench, asked, dragged, readied, taught };
}
