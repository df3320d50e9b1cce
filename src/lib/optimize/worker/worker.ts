// The search's thread: wires the service and the study to this worker's mail, and holds a lock while it
// lives, so that the page notices when it is killed.
import { model } from '#engine/tables/model.ts';
import { answering } from '#optimize/questions/answering.ts';
import { Lives } from '#optimize/live/live.ts';
import type { Alive, Reply, Request } from './protocol.ts';
import { described, opened } from './questions.ts';
import { Service } from './service.ts';
import { Study } from './study.ts';

const { port1: here, port2: there } = new MessageChannel();
const resting: (() => void)[] = [];
here.onmessage = () => resting.shift()?.();

const mail = {
  reply: (reply: Reply) => self.postMessage(reply),
  // A message to oneself queues behind the mail already waiting, without a timer's least delay.
  rest: () =>
    new Promise<void>((resolve) => {
      resting.push(resolve);
      there.postMessage(null);
    }),
  now: () => performance.now(),
};
const lives = new Lives(model);
const service = new Service({
  ...mail,
  open: (brief, options) => answering(model, brief, options),
  live: (brief, hops) => lives.blendFor(brief, hops),
  describe: (answer) => described(model, answer),
});
const study = new Study({ ...mail, open: (ask) => opened(model, ask) });

self.onmessage = ({ data: request }: MessageEvent<Request>) => {
  if (request.kind === 'design') service.design(request);
  else if (request.kind === 'live') service.live(request);
  else if (request.kind === 'ready') service.ready(request.brief, request.hops);
  else if (request.kind === 'ask') study.ask(request);
  else if (request.kind === 'forget') study.forget(request.id);
  else {
    service.stop(request.id);
    study.stop(request.id);
  }
};

const alive = (lock: string | null) => self.postMessage({ kind: 'alive', lock } satisfies Alive);
// Browsers offer locks to pages from a secure address only, this machine's own among them.
const locks = self.navigator.locks as LockManager | undefined;
const life = `search ${performance.timeOrigin} ${Math.random()}`;
if (!locks) alive(null);
else {
  void locks.request(life, () => {
    alive(life);
    return new Promise<never>(() => {});
  });
}
