// A blend shown in place of the designed one.
import type { Blend } from '#shared/answers/answer.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';

export interface StandIn {
  readonly blend: Blend;
  readonly evidence: Evidence;
  /** What it is, and what is proven of it or changed by it, in words. */
  readonly title: string;
  readonly told: string;
  /** Whether it is the best of its own hops for the brief, so that its wishes have prices. */
  readonly designed: boolean;
}
