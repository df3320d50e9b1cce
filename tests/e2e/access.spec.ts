// No accessibility fault that axe can find and no sideways scrolling: narrow and wide, light and
// dark, every folded part open.
import { test } from './support/journey.ts';
import { expectNoSidewaysScroll, expectSoundInEveryLook } from './support/looks.ts';

test('the bench is sound in every look', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.settledBlend();
  await workbench.unfoldAll();
  await expectSoundInEveryLook(page);
  await page.setViewportSize({ width: 320, height: 844 });
  await expectNoSidewaysScroll(page);
});
