// A blend shown in place of the designed one.
import type { Blend } from '#shared/answers/answer.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';

export interface StandIn {
  readonly blend: Blend;
  readonly evidence: Evidence;
  /** What it is, and what is proven of it or what it changes, in words. */
  readonly title: string;
  readonly note: string;
  /** Whether it is the best blend of its own hops for the brief, so that its wishes have prices. */
  readonly designed: boolean;
}
