// No accessibility fault that axe can find and no sideways scrolling: narrow and wide, light and
// dark, every folded part open.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, test } from './journey.ts';

const WIDTHS = [390, 1280];
const SCHEMES = ['light', 'dark'] as const;

for (const width of WIDTHS) {
  test.describe(`${width} px wide`, () => {
    test.use({ viewport: { width, height: 844 } });

    for (const colorScheme of SCHEMES) {
      test.describe(colorScheme, () => {
        test.use({ colorScheme });

        test('axe finds nothing', async ({ page, workbench }) => {
          await workbench.open();
          await workbench.settledBlend();
          await workbench.unfoldAll();
          const { violations } = await new AxeBuilder({ page }).analyze();
          const found = violations.flatMap(({ id, nodes }) =>
            nodes.map((node) => `${id}: ${node.target.join(' ')}: ${node.failureSummary}`),
          );
          expect(found).toEqual([]);
        });
      });
    }
  });
}

for (const width of [320, 390]) {
  test.describe(`${width} px`, () => {
    test.use({ viewport: { width, height: 844 } });

    test('nothing scrolls sideways', async ({ page, workbench }) => {
      await workbench.open();
      await workbench.unfoldAll();
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(width);
    });
  });
}
