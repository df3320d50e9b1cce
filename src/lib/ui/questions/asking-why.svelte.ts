// When the page asks why the blend shown is as it is: once the blend has stood still for a moment, so that
// it never holds up the blend itself. What each hop brings is quickly known; what wishes cost takes longer.
import type { Question } from '#optimize/worker/protocol.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';

/** Rest after a blend came before its reasons are asked for, ms. */
const ASK_AFTER_MS = 300;

/** Whether the blend shown is the best for the middle lots, which alone have prices of wishes. */
export function isDesigned(workbench: Workbench): boolean {
  return workbench.standIn?.designed ?? (!workbench.byHand && !workbench.answer.why.hold);
}

/**
 * Asks as long as the component that calls it is there; while a hand moves a wish or a dose it waits.
 * @param wanted what of the reasons somebody looks at; `null` for nothing.
 */
export function askWhy(workbench: Workbench, wanted: () => 'shares' | 'prices' | null): void {
  const { explain } = workbench.inquiries;
  const isMoving = $derived(workbench.moving);
  const isAsked = ({ brief, blend, designed }: Question<'explain'>) => {
    const asked = explain.working || explain.finding ? explain.question : null;
    return asked?.brief === brief && asked.blend === blend && asked.designed === designed;
  };
  $effect(() => {
    const { blend, answeredBrief: brief } = workbench;
    const reasons = wanted();
    if (!reasons || !blend || workbench.searching || isMoving || workbench.trouble) return;
    const question = { brief, blend, designed: isDesigned(workbench) && reasons === 'prices' };
    const later = setTimeout(() => {
      // A dose that was moved and put back leaves the blend and its reasons as they were.
      if (!isAsked(question)) explain.ask(question);
    }, ASK_AFTER_MS);
    return () => clearTimeout(later);
  });
}
