// A worker that the test plays: it keeps the messages it gets, and sends those that the test gives it.
import type { Reply, ThreadRequest } from '#optimize/worker/protocol.ts';
import type { SearchThread } from '#optimize/worker/thread.ts';

export class PlayedThread implements SearchThread {
  onmessage: SearchThread['onmessage'] = null;
  onended: SearchThread['onended'] = null;
  readonly heard: ThreadRequest[] = [];
  ended = false;
  postMessage(request: ThreadRequest): void {
    this.heard.push(request);
  }
  terminate(): void {
    this.ended = true;
  }
  say(reply: Reply): void {
    this.onmessage?.({ data: reply } as MessageEvent<Reply>);
  }
  die(message: string): void {
    this.onended?.(message);
  }
}
