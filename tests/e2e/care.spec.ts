// What is typed is kept, what cannot be is refused in a sentence, and nothing good is lost.
import type { Page } from '@playwright/test';
import { expect, test } from './support/journey.ts';

const answersKept = (page: Page) =>
  page.evaluate(
    () =>
      new Promise<number>((done) => {
        indexedDB.open('blendbine-answers').onsuccess = ({ target }) => {
          const { result: database } = target as IDBOpenDBRequest;
          database.transaction('answers').objectStore('answers').count().onsuccess = (counted) => {
            database.close();
            done((counted.target as IDBRequest<number>).result);
          };
        };
      }),
  );

/** What the search's threads were asked since the page was opened. */
const asked = (page: Page) =>
  page.evaluate(() => (window as unknown as { asked: readonly string[] }).asked);

test('an edit is still there after a reload, and its blend is not searched for anew', async ({
  page,
  workbench,
}) => {
  await page.addInitScript(() => {
    const asked: string[] = [];
    Object.assign(window, { asked });
    const { postMessage } = Worker.prototype as { postMessage(this: Worker, said: unknown): void };
    Worker.prototype.postMessage = function (said: { readonly kind: string }) {
      asked.push(said.kind);
      postMessage.call(this, said);
    };
  });
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.drag('Tropical', -20);
  const wished = await workbench.wished('Tropical');
  const after = await workbench.blendAfter(before);
  const proof = await workbench.proof.innerText();
  expect(await asked(page)).toContain('design');
  await expect(page.getByText('Saved in this browser')).toBeVisible();
  await expect.poll(() => answersKept(page), { message: 'the answer is kept' }).toBe(1);

  await workbench.reload();
  await expect
    .poll(() => workbench.wished('Tropical'), { message: 'the wish comes back' })
    .toBe(wished);
  expect(await workbench.blendAfter(before)).toBe(after);
  await expect(workbench.proof).toHaveText(proof);
  expect(await asked(page)).not.toContain('design');
  // What it rests on changed: it is searched for; a step back, it is known.
  await workbench.handle('Tropical').press('ArrowUp');
  await workbench.blendAfter(after);
  const searches = async () => (await asked(page)).filter((kind) => kind === 'design').length;
  expect(await searches()).toBe(1);
  await workbench.undo.click();
  await expect.poll(() => workbench.settledBlend()).toBe(after);
  expect(await searches()).toBe(1);
});

test('a figure that cannot be is refused and the blend stays', async ({ workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.unfold('Batch');
  const volume = workbench.field('Beer volume');
  const good = await volume.inputValue();
  for (const bad of ['much', '-5', '0', '', '1e999']) {
    await volume.fill(bad);
    await volume.press('Tab');
    await expect(volume).toHaveAttribute('aria-invalid', 'true');
    await expect(volume).toHaveAccessibleDescription(/number above 0/i);
    await expect.poll(() => workbench.settledBlend()).toBe(before);
    await expect(workbench.undo).toBeDisabled();
  }
  await volume.fill(String(Number(good) * 2));
  await volume.press('Tab');
  await expect(volume).toHaveAttribute('aria-invalid', 'false');
  await workbench.blendAfter(before);
});

test('the theme that was chosen is there before the page is drawn again', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await page.getByRole('combobox', { name: 'Theme' }).selectOption('Dark');
  await workbench.reload();
  await expect(page.getByRole('combobox', { name: 'Theme' })).toHaveValue('dark');
  const background = await page.evaluate(
    () => getComputedStyle(document.documentElement).colorScheme,
  );
  expect(background).toBe('dark');
});
