// Kills the page while it is edited (its tab, its renderer, the whole browser) or leaves it right after
// an edit, opens it again and says how much of the work is there. The edits are figures counted up in a
// field of the brief, so that the figure found tells which was the last to survive. The journeys do a
// few of these rounds, `kills.ts` as many as wanted.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, expect, type Browser, type BrowserContext, type Page } from '@playwright/test';
import { randomLcg } from 'd3';
import { REST_MS } from '#state/documents/pace.ts';
import { findBrowser } from '../e2e/support/browser.ts';

export const KILLS = ['tab', 'renderer', 'browser'] as const;
export const LEAVES = ['link', 'reload', 'close'] as const;
export type Kill = (typeof KILLS)[number];
export type Leave = (typeof LEAVES)[number];

export interface Round {
  readonly how: Kill | Leave;
  /** Edits made until the end. */
  readonly made: number;
  readonly lost: number;
  /** How long before the end the first lost edit was made, ms; 0 where none is lost. */
  readonly behindMs: number;
  /**
   * How long before the newest edit that a plain write kept, ms: without what the machine itself was late by. 0 where
   * none is lost, or plain writes kept no more.
   */
  readonly behindPlainMs: number;
  /** What is wrong with the workspace that was found; `null` where it is whole. */
  readonly broken: string | null;
}

/** Figures of the field count up from here and begin anew at the end: all are sound. */
const LEAST = 100;
const COUNT = 800;

/** A browser of its own process group with a profile on disk, so that it can be killed and come back. */
class KillableBrowser {
  readonly #profile = mkdtempSync(join(tmpdir(), 'blendbine-kills-'));
  #process: ChildProcess | null = null;
  #browser: Browser | null = null;

  constructor() {
    // It is a group of its own and would outlive whoever started it.
    process.once('exit', () => this.#process && process.kill(-this.#process.pid!, 'SIGKILL'));
  }

  async context(): Promise<BrowserContext> {
    if (!this.#browser) await this.#start();
    return this.#browser!.contexts()[0]!;
  }

  async #start(): Promise<void> {
    const flags = ['--headless=new', '--no-sandbox', '--disable-gpu', '--no-first-run'];
    const quiet = [
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ];
    const profile = [`--user-data-dir=${this.#profile}`, '--remote-debugging-port=0'];
    const path = findBrowser();
    if (path === undefined) throw new Error('there is no browser here');
    const child = spawn(path, [...flags, ...quiet, ...profile, 'about:blank'], {
      detached: true,
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    this.#process = child;
    const address = await new Promise<string>((found, failed) => {
      let text = '';
      child.stderr!.on('data', (bytes: Buffer) => {
        text += bytes.toString();
        const [, url] = /DevTools listening on (ws:\S+)/.exec(text) ?? [];
        if (url) found(url);
      });
      child.on('exit', () => failed(new Error(`the browser did not start: ${text}`)));
    });
    this.#browser = await chromium.connectOverCDP(address);
  }

  /** Ends every process of the browser at once, without a word. */
  async kill(): Promise<void> {
    const child = this.#process;
    if (!child) return;
    const gone = new Promise((done) => child.once('exit', done));
    process.kill(-child.pid!, 'SIGKILL');
    await gone;
    await this.#browser?.close().catch(() => {});
    [this.#process, this.#browser] = [null, null];
  }

  async end(): Promise<void> {
    await this.kill();
    rmSync(this.#profile, { recursive: true, force: true, maxRetries: 5 });
  }
}

/** The database of plain writes, each of them what any page could do: rest as long as ours, and put one number. */
const PLAIN = 'plain-writes';

/** What opens it in a page, as text of a script. */
const OPENED = `new Promise((done) => {
  const opening = indexedDB.open('${PLAIN}');
  opening.onupgradeneeded = () => opening.result.createObjectStore('edits');
  opening.onsuccess = () => done(opening.result);
})`;

/** Types figures into the field, one after each delay: the text of a script, as it runs in the page. */
function typing(figures: readonly number[], delays: readonly number[]): string {
  return `{
    const figures = ${JSON.stringify(figures)}, delays = ${JSON.stringify(delays)};
    const field = document.querySelector('[data-counted]');
    const plain = globalThis.plain;
    const type = (i) => {
      field.value = figures[i];
      field.dispatchEvent(new Event('input', { bubbles: true }));
      field.dispatchEvent(new Event('change', { bubbles: true }));
      edited(Date.now());
      setTimeout(() => plain.transaction('edits', 'readwrite').objectStore('edits').put(i + 1, 0), ${REST_MS});
      if (i + 1 < figures.length) setTimeout(() => type(i + 1), delays[i + 1]);
    };
    type(0);
  }`;
}

interface Found {
  readonly page: Page;
  readonly figure: number;
  readonly broken: string | null;
  /** Edits that plain writes kept. */
  readonly plain: number;
}

export class Killing {
  readonly #browser = new KillableBrowser();
  readonly #random: () => number;
  #next = 0;
  #page: Page | null = null;
  #edits: number[] = [];
  #found: Found | null = null;

  /** @param url where the site is served. */
  constructor(
    private readonly url: string,
    seed: number,
  ) {
    this.#random = randomLcg(seed);
  }

  end(): Promise<void> {
    return this.#browser.end();
  }

  /** Opens a design that wishes for nothing: from here on no edit starts a search. */
  async wishNothing(): Promise<void> {
    const { page } = await this.#ready();
    this.#found = null;
    const design = page.getByRole('group', { name: 'This design' });
    await design.getByRole('button', { name: 'New', exact: true }).click();
    await page.getByRole('button', { name: 'Start without wishes' }).click();
    await expect(page.locator('[data-saving=saved]')).toBeVisible({ timeout: 60_000 });
  }

  /** The page as it was found, ready for edits; opened where it is not. */
  async #ready(): Promise<Found> {
    return (this.#found ??= await this.#open());
  }

  async #open(): Promise<Found> {
    const context = await this.#browser.context();
    const page = this.#page ?? (await context.newPage());
    page.setDefaultTimeout(60_000);
    if (!this.#page) await page.exposeFunction('edited', (at: number) => this.#edits.push(at));
    this.#page = page;
    await page.goto(this.url, { waitUntil: 'commit' });
    // At the very first visit there is nothing kept yet.
    const state = this.#next === 0 ? 'untouched' : 'saved';
    await expect(page.locator(`[data-saving=${state}]`)).toBeVisible({ timeout: 60_000 });
    const field = page.getByRole('textbox', { name: 'Beer volume', exact: true });
    if (!(await field.isVisible())) {
      await page.getByRole('heading', { name: 'Batch', exact: true }).click();
    }
    await field.evaluate((element) => element.setAttribute('data-counted', ''));
    const alerts = await page.getByRole('alert').allInnerTexts();
    const designs = await page.getByRole('combobox', { name: 'Design' }).locator('option').count();
    const faults = [...alerts, ...(designs === 0 ? ['no design'] : [])];
    const broken = faults.length > 0 ? faults.join(' ') : null;
    const plain = await page.evaluate<number>(`(async () => {
      globalThis.plain = await ${OPENED};
      const edits = globalThis.plain.transaction('edits', 'readwrite').objectStore('edits');
      const asked = edits.get(0);
      edits.delete(0);
      await new Promise((done) => (edits.transaction.oncomplete = done));
      return asked.result ?? 0;
    })()`);
    return { page, figure: Number(await field.inputValue()), broken, plain };
  }

  #figures(count: number): number[] {
    return Array.from({ length: count }, () => LEAST + (this.#next++ % COUNT));
  }

  #judged(
    how: Round['how'],
    figures: readonly number[],
    edits: readonly number[],
    ended: number,
    { figure, broken, plain }: Found,
  ): Round {
    const made = edits.filter((at) => at <= ended).length;
    const survived = figures.indexOf(figure) + 1;
    const lost = Math.max(0, made - survived);
    return {
      how,
      made,
      lost,
      behindMs: lost > 0 ? ended - edits[survived]! : 0,
      behindPlainMs: plain > survived && lost > 0 ? edits[plain - 1]! - edits[survived]! : 0,
      broken,
    };
  }

  /** Edits go on, in a burst or at leisure, until the page is killed at a drawn moment. */
  async kill(how: Kill): Promise<Round> {
    const { page } = await this.#ready();
    this.#found = null;
    const pause = this.#random() < 0.5 ? 30 : 300;
    const figures = this.#figures(200);
    const delays = figures.map(() => pause * (0.2 + this.#random()));
    this.#edits = [];
    const edits = this.#edits;
    await page.evaluate(`${typing(figures, delays)}; null`);
    await new Promise((done) => setTimeout(done, 50 + this.#random() * 2400));
    const ended = Date.now();
    if (how === 'tab') await page.close();
    else if (how === 'browser') await this.#browser.kill();
    else {
      const crashed = page.waitForEvent('crash');
      const session = await page.context().newCDPSession(page);
      void session.send('Page.crash').catch(() => {});
      await crashed;
      await page.close();
    }
    this.#page = null;
    return this.#judged(how, figures, edits, ended, await this.#ready());
  }

  /** One edit, and the page is left in the same breath. */
  async leave(how: Leave): Promise<Round> {
    const { page } = await this.#ready();
    this.#found = null;
    const figures = this.#figures(1);
    this.#edits = [];
    const edits = this.#edits;
    const gone = how === 'close' ? null : page.waitForEvent('domcontentloaded');
    const away = {
      link: `location.href = new URL('stock/', location.href).href`,
      reload: 'location.reload()',
      close: '',
    };
    await page.evaluate(`${typing(figures, [0])} ${away[how]}; null`);
    if (how === 'close') {
      await page.close();
      this.#page = null;
    }
    await gone;
    return this.#judged(
      how,
      figures,
      edits.length > 0 ? edits : [Date.now()],
      Date.now(),
      await this.#ready(),
    );
  }
}
