// The search's thread: wires the services for designs and for questions to this worker's mail, and holds
// a lock while it runs, so that the page notices when it is killed.
import { knownModel } from '#engine/doubt/known.ts';
import { model } from '#engine/tables/model.ts';
import { answering } from '#optimize/questions/answering.ts';
import { NewestLiveBrief } from '#optimize/live/live.ts';
import type { Alive, Reply, ThreadRequest } from './protocol.ts';
import { described, opened } from './questions.ts';
import { DesignService } from './design-service.ts';
import { QuestionService } from './question-service.ts';

/** Pause after a slice of work done slowly, ms: most of the time is left to others. */
const PAUSE_MS = 20;

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
  pause: () => new Promise<void>((resolve) => setTimeout(resolve, PAUSE_MS)),
  now: () => performance.now(),
};
/** The model with what a person brings to it, once the page has sent it. */
let taught = model;
let liveBrief = new NewestLiveBrief(taught);
const designs = new DesignService({
  ...mail,
  open: (brief, options) => answering(taught, brief, options),
  live: (brief, hops) => liveBrief.blendFor(brief, hops),
  describe: (answer) => described(taught, answer),
});
const questions = new QuestionService({ ...mail, open: (ask) => opened(taught, ask) });

self.onmessage = ({ data: request }: MessageEvent<ThreadRequest>) => {
  if (request.kind === 'design') designs.design(request);
  else if (request.kind === 'live') designs.live(request);
  else if (request.kind === 'ready') designs.ready(request.brief, request.hops, request.slowly);
  else if (request.kind === 'ask') questions.ask(request);
  else if (request.kind === 'taught') {
    taught = knownModel(model, request.knowledge);
    liveBrief = new NewestLiveBrief(taught);
  } else if (request.kind === 'forget') questions.forget(request.id);
  else {
    designs.stop(request.id);
    questions.stop(request.id);
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
