// What is typed is kept, what cannot be is refused in a sentence, and nothing good is lost.
import { expect, test } from './support/journey.ts';

test('an edit is still there after a reload', async ({ page, workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.drag('Tropical', -20);
  const wished = await workbench.wished('Tropical');
  const after = await workbench.blendAfter(before);
  await expect(page.getByText('Saved in this browser')).toBeVisible();

  await workbench.reload();
  await expect
    .poll(() => workbench.wished('Tropical'), { message: 'the wish comes back' })
    .toBe(wished);
  expect(await workbench.blendAfter(before)).toBe(after);
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
    expect(await workbench.settledBlend()).toBe(before);
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
