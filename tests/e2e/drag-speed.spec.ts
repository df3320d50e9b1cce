// How the page keeps up with a hand: a handle dragged over many moves. The figures are told, not judged,
// because a busy machine draws slowly; what is held is that the wish on screen goes along with the hand,
// frame by frame, while the blend for it comes from the search's thread.
import { expect, test } from './journey.ts';

const MOVES = 120;

interface Seen {
  /** From the page's hearing of a move to the frame painted after it, ms. */
  readonly frames: number[];
  /** The same from the move itself, which waits for the screen's next frame, ms. */
  readonly whole: number[];
  /** Tasks over 50 ms, ms. */
  readonly long: number[];
  readonly values: number;
}

const at = (sorted: readonly number[], share: number) =>
  sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? NaN;

test('a dragged handle is followed move by move', async ({ page, workbench }) => {
  let threads = 0;
  page.on('worker', () => (threads += 1));
  await workbench.open();
  await workbench.settledBlend();
  // What loads below the blend is there before the hand begins.
  await expect(page.getByRole('region', { name: 'Beside your usual' })).toBeVisible();
  await page.evaluate(() => {
    const seen = {
      frames: [] as number[],
      whole: [] as number[],
      long: [] as number[],
      values: new Set<string>(),
    };
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
    const handle = document.querySelector('[role="slider"][data-axis="tropical"]')!;
    new MutationObserver(() => seen.values.add(handle.getAttribute('aria-valuenow')!)).observe(
      handle,
      { attributes: true, attributeFilter: ['aria-valuenow'] },
    );
  });

  await workbench.take('Tropical', 0);
  const box = (await workbench.handle('Tropical').boundingBox())!;
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  for (let i = 1; i <= MOVES; i += 1) {
    const far = 30 * Math.sin((2 * Math.PI * i) / 60);
    await page.mouse.move(x + 0.59 * far, y - 0.81 * far);
  }
  await expect(workbench.headline).toHaveText(/^(About|Out of reach)/);
  const seen: Seen = await page.evaluate(() => {
    const { values, ...others } = (
      window as unknown as { seen: Omit<Seen, 'values'> & { values: Set<string> } }
    ).seen;
    return { ...others, values: values.size };
  });
  await page.mouse.up();
  const frames = seen.frames.toSorted((a, b) => a - b);
  const whole = seen.whole.toSorted((a, b) => a - b);
  const figures = (sorted: readonly number[]) =>
    `${at(sorted, 0.5).toFixed(1)} ms median, ${at(sorted, 0.95).toFixed(1)} ms p95`;
  const told = `pointer to painted frame: ${figures(frames)} over ${frames.length} moves, with the wait for the screen ${figures(whole)}; ${seen.long.length} long tasks, longest ${Math.max(0, ...seen.long).toFixed(0)} ms`;
  test.info().annotations.push({ type: 'speed', description: told });
  console.log(told);
  expect(frames.length).toBeGreaterThan(MOVES / 4);
  // The wish went along with the hand, not only to where it ended.
  expect(seen.values).toBeGreaterThan(8);
  expect(threads, 'the search has its own thread').toBeGreaterThan(0);
});
