// Ten questions people come with, and how far it is from the open demo to each answer: presses, and screens
// scrolled by hand. On a desk at most 2 presses, on a phone at most 3, and one screen on either. On the way the
// pictures of the README are taken, and written down where PICTURES is set.
import { devices, type Locator, type Page } from '@playwright/test';
import { expect, test } from '../support/journey.ts';
import { sheetsOf } from '../support/paper.ts';
import type { Workbench } from '../support/workbench.ts';

interface Way {
  presses: number;
  /** Heights of the screen. */
  screens: number;
}

/** One person's hand on the page, which counts what it does. */
class Hand {
  #way: Way = { presses: 0, screens: 0 };
  constructor(
    readonly page: Page,
    readonly isPhone: boolean,
  ) {}

  /** The way so far; the next begins anew. */
  take(): Way {
    const way = this.#way;
    this.#way = { presses: 0, screens: 0 };
    return way;
  }
  /** Scrolls no further than until all of it is in sight, clear of what stays at head and foot. */
  async see(target: Locator): Promise<void> {
    await expect(target).toBeVisible();
    this.#way.screens += await target.evaluate((element) => {
      const scrollers: Element[] = [];
      for (let e = element.parentElement; e; e = e.parentElement) scrollers.push(e);
      const before = scrollers.map((e) => e.scrollTop);
      element.scrollIntoView({ block: 'nearest' });
      const moved = scrollers.reduce((sum, e, i) => sum + Math.abs(e.scrollTop - before[i]!), 0);
      return moved / innerHeight;
    });
    await expect(target).toBeInViewport();
  }
  async press(target: Locator): Promise<void> {
    await this.see(target);
    await (this.isPhone ? target.tap() : target.click());
    this.#way.presses += 1;
  }
  /** A list is opened and an entry of it pressed. */
  async choose(list: Locator, entry: string): Promise<void> {
    await this.see(list);
    await list.selectOption({ label: entry });
    this.#way.presses += 2;
  }
}

/** The first screen as it is found. */
async function takePicture(page: Page, name: string): Promise<void> {
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
  await expect(page.getByText(/on its own can go from/)).toBeVisible();
  // What is loaded after the blend.
  await expect(page.getByText('Usual for')).toBeVisible();
  await expect(page.getByRole('button', { name: 'What would more lots take?' })).toBeVisible();
  const picture = await page.screenshot({
    ...(process.env['PICTURES'] && { path: `tests/e2e/looks/pictures/${name}.jpg` }),
    type: 'jpeg',
    quality: 65,
  });
  expect(picture.length, 'bytes of the picture').toBeLessThan(150_000);
}

async function tenQuestions(hand: Hand, workbench: Workbench): Promise<Record<string, Way>> {
  const { page } = hand;
  const ways: Record<string, Way> = {};
  const top = () => page.evaluate(() => scrollTo(0, 0));
  const answered = async (question: string) => {
    ways[question] = hand.take();
    if (await page.getByRole('dialog').isVisible()) await page.keyboard.press('Escape');
    await top();
  };
  /** On a phone the parts of the page are a thumb away. */
  const thumb = async (part: string) => {
    if (!hand.isPhone) return;
    const bar = page.getByRole('navigation', { name: 'On this page' });
    await hand.press(bar.getByRole('link', { name: part }));
  };
  const figures = page.getByRole('list', { name: 'In figures' }).getByRole('listitem');

  await workbench.open();
  await workbench.settledBlend();
  await takePicture(page, hand.isPhone ? 'phone' : 'desk');
  await page.evaluate(() => Object.assign(window, { print: () => (document.title = 'printed') }));

  await thumb('Weigh');
  await hand.see(workbench.blend.last());
  await answered('what do I weigh');

  await hand.see(figures.filter({ hasText: 'cost' }));
  await answered('what does it cost');

  await hand.see(figures.filter({ hasText: 'of lots hold' }));
  await answered('how sure is it');

  await hand.press(figures.filter({ hasText: 'IBU' }));
  await hand.see(page.getByRole('dialog').getByRole('heading').first());
  await answered('where is a figure from');

  const units = page.getByRole('combobox', { name: 'Units' });
  if (hand.isPhone) await hand.press(page.getByRole('button', { name: 'More', exact: true }));
  await hand.choose(units, 'US');
  await expect(workbench.headline).toContainText('oz');
  await answered('in ounces');
  if (hand.isPhone) await page.getByRole('button', { name: 'More', exact: true }).click();
  await units.selectOption('Metric');
  if (hand.isPhone) await page.keyboard.press('Escape');

  await hand.press(page.getByRole('button', { name: 'More', exact: true }));
  await hand.press(page.getByRole('dialog').getByRole('button', { name: 'Print' }));
  await expect(page).toHaveTitle('printed');
  expect(await sheetsOf(page), 'sheets of paper').toBe(1);
  await answered('on paper');

  await thumb('Weigh');
  await hand.press(page.getByRole('button', { name: 'Out of stock: Citra' }).first());
  await hand.see(
    page.getByRole('region', { name: 'In place of Citra' }).getByRole('heading').first(),
  );
  ways['what instead of a hop'] = hand.take();

  await hand.press(page.getByRole('button', { name: 'Undo' }).last());
  await expect(page.getByRole('button', { name: 'Out of stock: Citra' }).first()).toBeVisible();
  await answered('one step back');

  await hand.press(page.getByRole('link', { name: 'Stock', exact: true }));
  await hand.see(page.getByRole('rowheader').first());
  await answered('what have I got');
  await page.getByRole('link', { name: 'Design', exact: true }).click();
  // Nobody is taken to what was asked before, once the rest of the page is there.
  await expect(page.getByRole('heading', { name: 'Why these?' })).toBeVisible();

  await hand.press(workbench.brief.getByRole('button', { name: 'New', exact: true }));
  await hand.press(page.getByRole('button', { name: 'Start without wishes' }));
  await expect(workbench.headline).toHaveText('Nothing wished yet.');
  await answered('something new');
  return ways;
}

function expectNear(ways: Record<string, Way>, presses: number): void {
  expect(Object.keys(ways)).toHaveLength(10);
  for (const [question, way] of Object.entries(ways)) {
    console.log(`${question}: ${way.presses} presses, ${way.screens.toFixed(2)} screens`);
    expect.soft(way.presses, `presses to: ${question}`).toBeLessThanOrEqual(presses);
    expect.soft(way.screens, `screens to: ${question}`).toBeLessThanOrEqual(1);
  }
}

test('ten questions are two presses and a screen away on a desk', async ({ page, workbench }) => {
  expectNear(await tenQuestions(new Hand(page, false), workbench), 2);
});

test.describe('by thumb', () => {
  const { hasTouch, isMobile } = devices['Pixel 5'];
  test.use({ viewport: { width: 390, height: 844 }, hasTouch, isMobile });
  test('ten questions are three presses and a screen away on a phone', async ({
    page,
    workbench,
  }) => {
    expectNear(await tenQuestions(new Hand(page, true), workbench), 3);
  });
});
