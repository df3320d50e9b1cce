// The search's thread: wires the service to this worker's mail.
import { model } from '#engine/model.ts';
import { designing } from './design.ts';
import { evidenceOf } from './evidence.ts';
import type { Reply, Request } from './protocol.ts';
import { Service } from './service.ts';

const { port1: here, port2: there } = new MessageChannel();
const resting: (() => void)[] = [];
here.onmessage = () => resting.shift()?.();

const service = new Service({
  open: (brief, options) => designing(model, brief, options),
  describe: (answer) => ({
    answer,
    evidence: answer.blends.map((blend) => evidenceOf(model, blend.additions)),
  }),
  reply: (reply: Reply) => self.postMessage(reply),
  // A message to oneself queues behind the mail already waiting, without a timer's least delay.
  rest: () =>
    new Promise<void>((resolve) => {
      resting.push(resolve);
      there.postMessage(null);
    }),
  now: () => performance.now(),
});

self.onmessage = ({ data: request }: MessageEvent<Request>) => {
  if (request.kind === 'design') service.design(request);
  else service.stop(request.id);
};
