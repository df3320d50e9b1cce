// Where the page of a hop is: each published one has its own, those of own tables share one, for which hop an
// address has after its `#`.
import { resolve } from '$app/paths';

/** @param anchor a place on that page. */
export function hopAddress(id: string, isOwn: boolean, anchor?: string): string {
  if (isOwn) return `${resolve('/own/hop/')}#${anchor ?? id}`;
  return resolve('/hops/[hop]', { hop: id }) + (anchor === undefined ? '' : `#${anchor}`);
}

/** The hop that what stands after the `#` leads to: its id, or a figure of it (`cell/<id>/<figure>`). */
export function hopOfAnchor(anchor: string): string {
  return anchor.startsWith('cell/') ? (anchor.split('/')[1] ?? '') : anchor;
}
