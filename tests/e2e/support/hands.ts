// Three pairs of hands: a mouse, fingers on a small screen, and a keyboard alone. Each does the same few things and
// counts what it did; it fills and clicks nothing that such a person could not reach.
import { expect, type CDPSession, type Locator, type Page } from '@playwright/test';

/**
 * How long people take for an action, s, by the keystroke-level model (CARD80, recalled): to point at a thing and
 * press it 1.3, to press a key 0.28. Time to think and read is not counted.
 */
const POINTING_S = 1.3;
const KEY_S = 0.28;

export abstract class Hands {
  actions = 0;
  #since = 0;
  constructor(protected readonly page: Page) {}

  /** Starts counting and timing anew. */
  begin(): void {
    this.actions = 0;
    this.#since = Date.now();
  }
  /** Seconds since the beginning, on this machine. */
  get seconds(): number {
    return (Date.now() - this.#since) / 1000;
  }
  /** Seconds that a person's hands would take for the same actions. */
  get handSeconds(): number {
    return this.actions * this.secondsAnAction;
  }
  protected abstract readonly secondsAnAction: number;

  abstract press(target: Locator): Promise<void>;
  /** Moves a handle outwards until its value is at least so much. */
  abstract raise(handle: Locator, to: number): Promise<void>;
  /** Moves past a part of the page, for hands that have to go through it. */
  abstract skip(link: Locator): Promise<void>;
  /** Goes from a handle to its figures. */
  abstract figures(handle: Locator): Promise<void>;
  abstract choose(list: Locator, option: string): Promise<void>;
  /** Types into a field and leaves it. */
  async write(field: Locator, text: string): Promise<void> {
    await this.enter(field);
    await this.page.keyboard.press('ControlOrMeta+a');
    await this.page.keyboard.press('Delete');
    await this.page.keyboard.type(text);
    await this.page.keyboard.press('Tab');
    this.actions += text.length + 3;
  }
  /** Goes into a field. */
  protected abstract enter(field: Locator): Promise<void>;
  /** Chooses a table in the dialog that asks for one. */
  abstract give(file: Locator, field: Locator, text: string): Promise<void>;
}

/** Shared by mouse and fingers: open lists and the choice of files are drawn by the browser, outside of the page. */
abstract class Pointing extends Hands {
  protected readonly secondsAnAction = POINTING_S;
  // Hands that point need not go through anything.
  async skip(): Promise<void> {}
  async figures(): Promise<void> {}
  protected async enter(field: Locator): Promise<void> {
    await this.press(field);
  }
  async choose(list: Locator, option: string): Promise<void> {
    await this.press(list);
    await list.selectOption({ label: option });
    this.actions += 1;
  }
  async give(file: Locator, _field: Locator, text: string): Promise<void> {
    const chooser = this.page.waitForEvent('filechooser');
    await this.press(file);
    const buffer = Buffer.from(text);
    await (await chooser).setFiles({ name: 'schedule.csv', mimeType: 'text/csv', buffer });
    this.actions += 1;
  }

  /** Where a handle is, and a step outwards along its axis. */
  protected async path(handle: Locator): Promise<{ x: number; y: number; dx: number; dy: number }> {
    await handle.scrollIntoViewIfNeeded();
    const drawing = (await handle.locator('xpath=ancestor::*[name()="svg"]').boundingBox())!;
    const box = (await handle.boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const [dx, dy] = [x - drawing.x - drawing.width / 2, y - drawing.y - drawing.height / 2];
    const length = Math.hypot(dx, dy);
    return { x, y, dx: dx / length, dy: dy / length };
  }
}

const valueOf = async (handle: Locator) => Number(await handle.getAttribute('aria-valuenow'));

export class Mouse extends Pointing {
  async press(target: Locator): Promise<void> {
    await target.click();
    this.actions += 1;
  }
  async raise(handle: Locator, to: number): Promise<void> {
    const { x, y, dx, dy } = await this.path(handle);
    const { mouse } = this.page;
    await mouse.move(x, y);
    await mouse.down();
    for (let far = 6; far < 200 && (await valueOf(handle)) < to; far += 6) {
      await mouse.move(x + dx * far, y + dy * far);
    }
    await mouse.up();
    this.actions += 1;
  }
}

export class Fingers extends Pointing {
  #touch: CDPSession | null = null;

  async press(target: Locator): Promise<void> {
    await target.tap();
    this.actions += 1;
  }
  async raise(handle: Locator, to: number): Promise<void> {
    const { x, y, dx, dy } = await this.path(handle);
    // Chosen first, then dragged.
    await this.page.touchscreen.tap(x, y);
    this.actions += 1;
    const touch = (this.#touch ??= await this.page.context().newCDPSession(this.page));
    const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', far: number) =>
      touch.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: x + dx * far, y: y + dy * far }],
      });
    await send('touchStart', 0);
    let far = 6;
    for (; far < 200 && (await valueOf(handle)) < to; far += 6) await send('touchMove', far);
    await send('touchEnd', far);
    this.actions += 1;
  }
}

export class Keyboard extends Hands {
  protected readonly secondsAnAction = KEY_S;
  async #key(key: string): Promise<void> {
    await this.page.keyboard.press(key);
    this.actions += 1;
  }
  /** Goes to an element by the Tab key, forwards or back, whichever is shorter in the document. */
  async #reach(target: Locator): Promise<void> {
    await expect(target).toBeEnabled();
    const isThere = () => target.evaluate((element) => element === document.activeElement);
    const ahead = await target.evaluate((element) => {
      const now = document.activeElement ?? document.body;
      return (now.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_PRECEDING) === 0;
    });
    for (let i = 0; !(await isThere()); i += 1) {
      expect(i, 'keys to reach it').toBeLessThan(80);
      await this.#key(ahead ? 'Tab' : 'Shift+Tab');
    }
  }
  async press(target: Locator): Promise<void> {
    await this.#reach(target);
    await this.#key('Enter');
  }
  async raise(handle: Locator, to: number): Promise<void> {
    await this.#reach(handle);
    for (let i = 0; (await valueOf(handle)) < to; i += 1) {
      expect(i, 'keys to raise it').toBeLessThan(20);
      await this.#key('PageUp');
    }
  }
  async skip(link: Locator): Promise<void> {
    await this.press(link);
  }
  protected async enter(field: Locator): Promise<void> {
    await this.#reach(field);
  }
  async figures(handle: Locator): Promise<void> {
    await this.press(handle);
  }
  async choose(list: Locator, option: string): Promise<void> {
    await this.#reach(list);
    // Typed letters choose an option, as in any list.
    await this.page.keyboard.type(option);
    this.actions += option.length;
    await expect(list.locator('option:checked')).toHaveText(option);
  }
  async give(_file: Locator, field: Locator, text: string): Promise<void> {
    await this.#reach(field);
    await this.page.keyboard.insertText(text);
    await this.#key('Tab');
    this.actions += 1;
  }
}
