// How the page keeps up with a hand: a handle and a dose dragged over many moves, beside an empty page that only
// moves a dot, in the same browser. The figures are told, not judged, because a busy machine draws
// slowly; what is held is that the wish on screen goes along with the hand, frame by frame, while the
// blend for it comes from the search's thread and is neither asked for nor written in the frame of a move.
import type { Page } from '@playwright/test';
import { expect, test } from './support/journey.ts';

const MOVES = 60;
/** A hand is heard once a frame of the screen. */
const FRAME_MS = 16;

interface Seen {
  /** From the page's hearing of a move to the frame painted after it, ms. */
  readonly frames: number[];
  /** The same from the move itself, which waits for the screen's next frame, ms. */
  readonly whole: number[];
  /** Tasks over 50 ms, ms. */
  readonly long: number[];
}
interface Followed extends Seen {
  /** Work of the page's thread for each move, whatever else the machine does, ms. */
  readonly work: number;
}

const at = (times: readonly number[], share: number) =>
  times.toSorted((a, b) => a - b)[Math.min(times.length - 1, Math.floor(times.length * share))] ??
  NaN;
const figures = (times: readonly number[]) =>
  `${at(times, 0.5).toFixed(1)} ms median, ${at(times, 0.95).toFixed(1)} ms p95`;

const firstProblems = ({ frames, whole, work, long }: Followed) =>
  [
    `pointer to painted frame: ${figures(frames)} over ${frames.length} moves`,
    `with the wait for the screen ${figures(whole)}`,
    `${work.toFixed(1)} ms of work a move`,
    `${long.length} long tasks, longest ${Math.max(0, ...long).toFixed(0)} ms`,
  ].join('; ');

/** Has the page note how long each move takes to be painted. */
const watch = (page: Page) =>
  page.evaluate(() => {
    const seen = { frames: [] as number[], whole: [] as number[], long: [] as number[] };
    Object.assign(window, { seen });
    new PerformanceObserver((list) => {
      for (const { duration } of list.getEntries()) seen.long.push(duration);
    }).observe({ type: 'longtask' });
    addEventListener(
      'pointermove',
      (event) => {
        const moved = event.timeStamp;
        const heard = performance.now();
        // The message is heard once the frame that follows the move has been drawn.
        requestAnimationFrame(() => {
          const channel = new MessageChannel();
          channel.port1.onmessage = () => {
            seen.frames.push(performance.now() - heard);
            seen.whole.push(performance.now() - moved);
          };
          channel.port2.postMessage(null);
        });
      },
      { capture: true },
    );
  });

/**
 * Has the page count how often the drawn blend is written and a thread is asked for one, and how often in the frame
 * of a move, from which either takes time.
 */
const watchBlend = (page: Page) =>
  page.evaluate(() => {
    const written = { inAll: 0, inMoves: 0 };
    const asked = { inAll: 0, inMoves: 0 };
    let inMove = false;
    Object.assign(window, { written, asked });
    const post = Worker.prototype.postMessage as (this: Worker, ...given: unknown[]) => void;
    Worker.prototype.postMessage = function (this: Worker, ...given: unknown[]) {
      if ((given[0] as { kind?: unknown }).kind === 'live') {
        asked.inAll += 1;
        if (inMove) asked.inMoves += 1;
      }
      post.apply(this, given);
    };
    addEventListener(
      'pointermove',
      () => {
        inMove = true;
        // A size is told at first within the frame it is asked for in, after all that scripts write there.
        requestAnimationFrame(() => {
          const end = new ResizeObserver(() => {
            inMove = false;
            end.disconnect();
          });
          end.observe(document.body);
        });
      },
      { capture: true },
    );
    const outline = document.querySelector('[aria-label="Target profile"] [role="img"] .outline')!;
    new MutationObserver(() => {
      written.inAll += 1;
      if (inMove) written.inMoves += 1;
    }).observe(outline, { attributes: true, attributeFilter: ['d'] });
  });

interface AskedQuestion {
  readonly topic: string;
  /** Whether it was asked while the dose was another than it is. */
  readonly moved: boolean;
}

/** Has the page note the questions its threads are asked. */
const watchQuestions = (page: Page, dosed: string) =>
  page.evaluate((still) => {
    const questions: AskedQuestion[] = [];
    Object.assign(window, { questions });
    const slider = document.querySelector('[role="slider"][aria-label^="Dose of "]')!;
    const post = Worker.prototype.postMessage as (this: Worker, ...given: unknown[]) => void;
    Worker.prototype.postMessage = function (this: Worker, ...given: unknown[]) {
      const { kind, topic } = given[0] as { kind: string; topic: string };
      const moved = slider.getAttribute('aria-valuenow') !== still;
      if (kind === 'ask') questions.push({ topic, moved });
      post.apply(this, given);
    };
  }, dosed);
const questionsAsked = (page: Page) =>
  page.evaluate(() => (window as unknown as { questions: AskedQuestion[] }).questions);

/** In and out along an axis of the radar, to and fro along a bar. */
const AXIS = { x: 0.59, y: -0.81 };
const BAR = { x: 1, y: 0 };

/** Moves the hand there and back, from where it holds. */
async function wave(
  page: Page,
  x: number,
  y: number,
  along = AXIS,
  held = true,
): Promise<Followed> {
  await watch(page);
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Performance.enable', { timeDomain: 'threadTicks' });
  const worked = async () => {
    const { metrics } = await devtools.send('Performance.getMetrics');
    return metrics.find((m) => m.name === 'TaskDuration')!.value * 1000;
  };
  const before = await worked();
  for (let i = 1; i <= MOVES; i += 1) {
    const far = 30 * Math.sin((2 * Math.PI * i) / 60);
    const next = performance.now() + FRAME_MS;
    // As the hand alone: `page.mouse` runs scripts in the page at each move while a button is held.
    await devtools.send('Input.dispatchMouseEvent', {
      type: 'mouseMoved',
      x: x + along.x * far,
      y: y + along.y * far,
      button: held ? 'left' : 'none',
      buttons: held ? 1 : 0,
    });
    await page.waitForTimeout(Math.max(0, next - performance.now()));
  }
  const work = ((await worked()) - before) / MOVES;
  await devtools.detach();
  const seen = await page.evaluate(() => (window as unknown as { seen: Seen }).seen);
  return { ...seen, work };
}

async function emptyPage(page: Page): Promise<Followed> {
  await page.setContent('<svg width="400" height="400"><circle r="8" /></svg>');
  await page.evaluate(() =>
    addEventListener('pointermove', ({ clientX, clientY }) => {
      const dot = document.querySelector('circle')!;
      dot.setAttribute('transform', `translate(${clientX} ${clientY})`);
    }),
  );
  return wave(page, 200, 200, AXIS, false);
}

test('a dragged handle is followed move by move', async ({ page, workbench, context }) => {
  const other = await context.newPage();
  const empty = await emptyPage(other);
  await other.close();

  let threads = 0;
  page.on('worker', () => (threads += 1));
  await workbench.open();
  await workbench.settledBlend();
  // What loads below the blend is there before the hand begins.
  await expect(page.getByRole('heading', { name: 'Why these?' })).toBeVisible();
  const dose = page.getByRole('slider', { name: /^Dose of / }).first();
  await dose.scrollIntoViewIfNeeded();
  const knob = (await dose.boundingBox())!;
  const hand = { x: knob.x + knob.width / 2, y: knob.y + knob.height / 2 };
  const dosed = (await dose.getAttribute('aria-valuenow'))!;
  await watchQuestions(page, dosed);
  await page.mouse.move(hand.x, hand.y);
  await page.mouse.down();
  const poured = await wave(page, hand.x, hand.y, BAR);
  await page.mouse.move(hand.x - 20, hand.y);
  await expect(dose).not.toHaveAttribute('aria-valuenow', dosed);
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await expect(dose).toHaveAttribute('aria-valuenow', dosed);
  const reasons = async () => (await questionsAsked(page)).filter((q) => q.topic === 'explain');
  await expect
    .poll(reasons, 'reasons are asked once, not while a hand moves')
    .toEqual([{ topic: 'explain', moved: false }]);

  await page.evaluate(() => {
    const values = new Set<string>();
    Object.assign(window, { values });
    const handle = document.querySelector('[role="slider"][data-axis="tropical"]')!;
    new MutationObserver(() => values.add(handle.getAttribute('aria-valuenow')!)).observe(handle, {
      attributes: true,
      attributeFilter: ['aria-valuenow'],
    });
  });

  await workbench.take('Tropical', 0);
  await watchBlend(page);
  const box = (await workbench.handle('Tropical').boundingBox())!;
  const seen = await wave(page, box.x + box.width / 2, box.y + box.height / 2);
  await expect(workbench.headline).toHaveText(/^(About|Out of reach)/);
  const values = await page.evaluate(
    () => (window as unknown as { values: Set<string> }).values.size,
  );
  type Count = Readonly<Record<'inAll' | 'inMoves', number>>;
  const { written, asked } = await page.evaluate(() => {
    const { written: w, asked: a } = window as unknown as { written: Count; asked: Count };
    return { written: w, asked: a };
  });
  await page.mouse.up();

  const report = [
    `a corner, ${firstProblems(seen)}`,
    `a dose, ${firstProblems(poured)}`,
    `an empty page here, ${firstProblems(empty)}`,
  ].join('\n');
  test.info().annotations.push({ type: 'speed', description: report });
  console.log(report);
  expect(seen.frames.length).toBeGreaterThan(MOVES / 4);
  // The wish went along with the hand, not only to where it ended.
  expect(values).toBeGreaterThan(8);
  expect(written.inAll).toBeGreaterThan(8);
  expect(written.inMoves).toBe(0);
  expect(asked.inAll).toBeGreaterThan(8);
  expect(asked.inMoves).toBe(0);
  expect(threads, 'the search has its own thread').toBeGreaterThan(0);
});
