// The page as a person meets it: by roles and names only, never by class or test id.
import { expect, type Locator, type Page } from '@playwright/test';

/** What is said of a search that has ended, proven or not. */
const ENDED = /^(Found in|Searched for) /;

export class Workbench {
  readonly page: Page;
  /** The answer, its head and all of it. */
  readonly answer: Locator;
  readonly headline: Locator;
  readonly proof: Locator;
  readonly search: Locator;
  readonly stop: Locator;
  readonly undo: Locator;
  readonly redo: Locator;
  /** One item per stage, and within it one per addition. */
  readonly blend: Locator;
  readonly brief: Locator;
  /** The list of designs. */
  readonly designs: Locator;

  constructor(page: Page) {
    this.page = page;
    const answer = page.getByRole('region', { name: /^Answer( in full)?$/ });
    const head = page.getByRole('region', { name: 'Answer', exact: true });
    this.answer = answer;
    this.headline = head.getByRole('heading', { level: 2 });
    this.proof = head.getByText(/^(Proven|Within|No blend misses|Whether)/);
    this.search = head.getByRole('status');
    this.stop = head.getByRole('button', { name: 'Stop' });
    this.blend = answer
      .getByRole('region', { name: 'Blend', exact: true })
      .getByRole('list')
      .getByRole('listitem');
    // At the head of the page; where that is out of sight there is one nearer too.
    this.undo = page.getByRole('group', { name: 'Tools' }).getByRole('button', { name: 'Undo' });
    this.redo = page.getByRole('button', { name: 'Redo' });
    this.brief = page.getByRole('region', { name: 'Brief' });
    this.designs = this.brief.getByRole('combobox', { name: 'Design' });
  }

  /** Opens the page and waits until its search is ready, so that presses have an effect. */
  async open(): Promise<void> {
    await this.page.goto('./');
    await this.atWork();
  }

  async reload(): Promise<void> {
    await this.page.reload();
    await this.atWork();
  }

  /** Waits until a page that is loaded again reacts to presses. */
  async atWork(): Promise<void> {
    await this.page.locator('main[data-at-work]').waitFor();
  }

  /** The handle of an axis in the target profile. */
  handle(axis: string): Locator {
    return this.brief
      .getByRole('group', { name: 'Target profile' })
      .getByRole('slider', { name: axis, exact: true });
  }

  async wished(axis: string): Promise<number> {
    return Number(await this.handle(axis).getAttribute('aria-valuenow'));
  }

  /** Drags a handle along its axis by so many pixels, outwards if positive. */
  async drag(axis: string, pixels: number): Promise<void> {
    await this.take(axis, pixels);
    await this.page.mouse.up();
  }

  /** The same, with the button still held down. */
  async take(axis: string, pixels: number): Promise<void> {
    const drawing = await boxOf(this.brief.getByRole('group', { name: 'Target profile' }));
    const from = await boxOf(this.handle(axis));
    const [dx, dy] = [from.x - drawing.x, from.y - drawing.y];
    const length = Math.hypot(dx, dy);
    const { mouse } = this.page;
    await mouse.move(from.x, from.y);
    await mouse.down();
    await mouse.move(from.x + (dx / length) * pixels, from.y + (dy / length) * pixels, {
      steps: 8,
    });
  }

  /** The blend in words, one line per lot, once no search is running. */
  async settledBlend(): Promise<string> {
    await expect(this.search).toHaveText(ENDED);
    return (await this.blend.allInnerTexts()).join('\n');
  }

  /** Ends a search as an impatient person would: by its button, once there is a blend. */
  async stopOrSettle(): Promise<void> {
    // A search that is stopped while it still reads the lots has no blend to keep.
    await expect(this.search).toHaveText(new RegExp(`best so far|closest is|${ENDED.source}`));
    await pressWhileThere(this.stop);
    await this.settledBlend();
  }

  /** Waits until another blend than before is shown and its search has ended. */
  async blendAfter(before: string): Promise<string> {
    await expect(async () => expect(await this.settledBlend()).not.toBe(before)).toPass();
    return this.settledBlend();
  }

  /** Unfolds a part of the brief. */
  async unfold(title: string): Promise<void> {
    await this.brief.getByRole('heading', { name: title, exact: true }).click();
  }

  /** Opens one of the questions folded below the answer. */
  async ask(question: string): Promise<void> {
    const title = this.page.getByRole('heading', { name: question, exact: true });
    await title.click();
  }

  /** Unfolds everything that can be folded, so that a check sees the whole page. */
  async unfoldAll(): Promise<void> {
    // What is rendered or loaded only when it is unfolded may hold more that is folded.
    await expect
      .poll(() =>
        this.page.evaluate(() => {
          const folds = [...document.querySelectorAll('details')];
          for (const fold of folds) fold.open = true;
          const empty = folds.filter((fold) => fold.childElementCount < 2).length;
          return empty + document.querySelectorAll('[aria-busy="true"]').length;
        }),
      )
      .toBe(0);
  }

  field(label: string): Locator {
    return this.brief.getByRole('textbox', { name: label, exact: true });
  }
}

/** Presses a button that stops work, unless the work ends by itself before the button is reached. */
export async function pressWhileThere(button: Locator): Promise<void> {
  if (await button.isVisible()) await button.click({ timeout: 500 }).catch(() => {});
}

/** Middle of what an element covers. */
async function boxOf(element: Locator): Promise<{ x: number; y: number }> {
  await element.scrollIntoViewIfNeeded();
  const box = (await element.boundingBox())!;
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}
