// While a handle is held the blend follows it, said to be unproven; letting go gives the proven one.
import { expect, test } from './support/journey.ts';

const AXIS = 'Tropical';

test('the blend follows the hand before it lets go', async ({ page, workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  const compounds = page.getByRole('region', { name: 'Compounds' }).getByRole('img');
  await workbench.ask('What is in it?');
  const smelled = await compounds.getAttribute('aria-label');
  const profile = workbench.brief.getByRole('img', { name: /^The blend against the wish/ });
  const drawn = await profile.getAttribute('aria-label');

  await workbench.take(AXIS, -12);
  await expect(workbench.answer.getByText(/^Not proven yet/)).toBeVisible();
  await expect(workbench.search).toHaveText('The blend follows your drag.');
  const held = async () => (await workbench.blend.allInnerTexts()).join('\n');
  await expect.poll(held).not.toBe(before);
  await expect(profile).not.toHaveAttribute('aria-label', drawn!);
  await expect(workbench.undo).toBeDisabled();
  // Out of sight nothing follows; what comes into sight under a held handle does.
  await compounds.scrollIntoViewIfNeeded();
  await expect(compounds).not.toHaveAttribute('aria-label', smelled!);

  await page.mouse.up();
  const after = await workbench.settledBlend();
  expect(after).not.toBe(before);
  await expect(workbench.proof).toHaveText(/^Proven/);
});

test('a wish out of reach is said to be so while it is held, and how far each note can go', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.settledBlend();
  const place = await workbench.brief.boundingBox();
  await workbench.take('Woody, earthy', 120);
  await expect(workbench.headline).toHaveText(/^Out of reach: misses /);
  await page.mouse.up();
  await workbench.stopOrSettle();
  await expect(workbench.headline).not.toHaveText(/^Out of reach/);
  // The first step, with its Undo, moves nothing under the hand.
  await expect(workbench.undo).toBeEnabled();
  expect(await workbench.brief.boundingBox()).toEqual(place);

  await workbench.undo.click();
  const handle = page.getByRole('slider', { name: 'Woody, earthy' });
  await expect(handle).toHaveAttribute('aria-valuetext', /can go from \d+\.\d to \d+\.\d/);
  const valueText = (await handle.getAttribute('aria-valuetext'))!;
  const most = Number(/ to (\d+\.\d)/.exec(valueText)![1]);
  expect(most).toBeLessThan(Number(await handle.getAttribute('aria-valuemax')));
  await handle.press('End');
  const past = `Above the most found attainable, ${most.toFixed(1)}`;
  await expect(workbench.brief.getByText(past).first()).toBeVisible();
});
