// Gives a workbench its two threads: one that designs, one that answers questions about what was designed. Each
// is asked only what is not known already. Loads after the first paint.
import { Asking } from '#optimize/worker/asking.ts';
import { SearchClient } from '#optimize/worker/client.ts';
import {
  KnowingAsker,
  KnowingSearcher,
  KnownAnswers,
  type Built,
} from '#state/workbench/known-answers.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Handover } from '#ui/context/handover.svelte.ts';
import { afterFrame, betweenFrames } from './between-frames.ts';
import { atFirstSign } from './first-sign.ts';
import { startSearchThread } from './search-thread.ts';

/** How long what a person asks first has the processor to itself before wishes are got ready to be dragged, ms. */
const READY_AFTER_MS = 500;

/**
 * @param built the answer that came with the page.
 * @returns how to end them.
 */
export function startSearching(workbench: Workbench, handover: Handover, built: Built): () => void {
  let { known } = handover;
  if (!known) {
    known = handover.known = new KnownAnswers(() => handover.answers);
    known.noteBuilt(built);
  }
  const client = new SearchClient(
    startSearchThread,
    {
      live: betweenFrames((blend) => workbench.heardLive(blend)),
      progress: (progress) => workbench.heardProgress(progress),
      answered: (designed) => {
        searcher.heard(designed);
        workbench.heardAnswer(designed);
      },
      refused: (problems) => workbench.heardRefusal(problems),
      failed: (reason) => workbench.heardFailure(reason),
    },
    afterFrame,
  );
  const searcher = new KnowingSearcher(known, client, (designed) =>
    workbench.heardAnswer(designed),
  );
  const asking = new Asking(startSearchThread);
  workbench.inquiries.use(new KnowingAsker(known, asking));
  workbench.useSearcher(searcher);
  // A page that is only looked at needs no thread, and beside the one that a first press asks a second that starts
  // would slow the hand down: what gets wishes ready starts it.
  let ready: ReturnType<typeof setTimeout> | undefined;
  const wait = atFirstSign(() => {
    ready = setTimeout(() => workbench.getReady(), READY_AFTER_MS);
  });
  return () => {
    wait();
    clearTimeout(ready);
    workbench.useSearcher(null);
    client.close();
    asking.close();
  };
}
