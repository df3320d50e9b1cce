// Several designs, and that nothing kept is lost: names, deletion and its way back, reloads, another
// tab, files, links, a full store.
import { readFile } from 'node:fs/promises';
import type { BrowserContext, Page } from '@playwright/test';
import { expect, holdScripts, test } from './support/journey.ts';
import { Workbench } from './support/workbench.ts';

const FIRST = 'Guava and grapefruit, little pine';
const SAVED = 'Saved in this browser';

/** What the list of designs holds, in order. */
const names = (workbench: Workbench) => workbench.designs.getByRole('option').allInnerTexts();
const shown = (workbench: Workbench) =>
  workbench.designs.evaluate((list: HTMLSelectElement) => list.selectedOptions[0]!.text);
const act = (page: Page, name: string) =>
  page.getByRole('group', { name: 'This design' }).getByRole('button', { name }).click();

async function rename(page: Page, name: string): Promise<void> {
  await act(page, 'Rename');
  await page.getByRole('textbox', { name: 'Name' }).fill(name);
  await page.getByRole('textbox', { name: 'Name' }).press('Enter');
  await expect(page.getByRole('dialog')).toHaveCount(0);
}

/** Another tab of the same browser. */
async function secondTab(context: BrowserContext): Promise<Workbench> {
  const tab = new Workbench(await context.newPage());
  await tab.open();
  return tab;
}

/** As another program writes it, with a field of its own. */
const RECIPE = `<?xml version="1.0" encoding="UTF-8"?>
<RECIPES><RECIPE><NAME>K&#246;lsch &amp; more</NAME><VERSION>1</VERSION><BATCH_SIZE>20</BATCH_SIZE>
<KEPT_BY_ANOTHER>1 &lt; 2</KEPT_BY_ANOTHER><HOPS>
<HOP><NAME>Magnum</NAME><ALPHA>12</ALPHA><AMOUNT>0.02</AMOUNT><USE>Boil</USE><TIME>60</TIME></HOP>
<HOP><NAME>Citra</NAME><ALPHA>12.5</ALPHA><AMOUNT>0.08</AMOUNT><USE>Dry Hop</USE><TIME>4320</TIME></HOP>
</HOPS></RECIPE></RECIPES>`;

test('designs are made, renamed, deleted, brought back and there after a reload', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const before = await names(workbench);
  await act(page, 'New');
  const dialog = page.getByRole('dialog', { name: 'New design' });
  await dialog.getByRole('button', { name: 'Rose garden' }).click();
  await expect(dialog).toHaveCount(0);
  await expect.poll(() => shown(workbench)).toBe('Rose garden');
  await workbench.stopOrSettle();
  await expect.poll(() => workbench.wished('Floral')).toBe(2.5);

  await rename(page, 'Roses for spring');
  await expect.poll(() => shown(workbench)).toBe('Roses for spring');
  await act(page, 'Duplicate');
  await expect.poll(() => shown(workbench)).toBe('Roses for spring 2');
  await act(page, 'Delete');
  await expect.poll(() => names(workbench)).toEqual([...before, 'Roses for spring']);
  await workbench.undo.click();
  await expect.poll(() => shown(workbench)).toBe('Roses for spring 2');

  await expect(page.getByText(SAVED)).toBeVisible();
  await workbench.reload();
  await expect
    .poll(() => names(workbench))
    .toEqual([...before, 'Roses for spring', 'Roses for spring 2']);
  await expect.poll(() => shown(workbench)).toBe('Roses for spring 2');
  await expect.poll(() => workbench.wished('Floral')).toBe(2.5);
});

test('a blank design says what to do, and one drag gives its blend', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await act(page, 'New');
  await page.getByRole('button', { name: 'Start without wishes' }).click();
  await expect(workbench.headline).toHaveText('Nothing wished yet.');
  await expect(workbench.brief.getByText('No wish yet.')).toBeVisible();
  await workbench.drag('Citrus', 50);
  await expect(workbench.headline).toHaveText(/^Lightest blend/);
  await expect(workbench.brief.getByText('No wish yet.')).toHaveCount(0);
});

test('what was committed is there after a tab dies in the middle of a drag', async ({
  page,
  workbench,
  context,
}) => {
  await workbench.open();
  await workbench.drag('Tropical', -20);
  const wished = await workbench.wished('Tropical');
  await expect(page.getByText(SAVED)).toBeVisible();
  const unheld = await workbench.wished('Citrus');
  const handle = (await workbench.handle('Citrus').boundingBox())!;
  await page.mouse.move(handle.x + handle.width / 2, handle.y + handle.height / 2);
  await page.mouse.down();
  await page.mouse.move(handle.x, handle.y - 30, { steps: 4 });
  await expect.poll(() => workbench.wished('Citrus')).not.toBe(unheld);
  const citrus = await workbench.wished('Citrus');
  const again = await secondTab(context);
  await page.close({ runBeforeUnload: false });
  await expect.poll(() => again.wished('Tropical')).toBe(wished);
  await expect.poll(() => again.wished('Citrus')).not.toBe(citrus);
});

test('a second tab at the same design is told and can keep both or load the newer; others follow', async ({
  page,
  workbench,
  context,
}) => {
  await workbench.open();
  await workbench.drag('Tropical', -20);
  await expect(page.getByText(SAVED)).toBeVisible();
  const other = await secondTab(context);
  await expect.poll(() => shown(other)).toBe(FIRST);
  await expect.poll(() => other.wished('Tropical')).toBe(await workbench.wished('Tropical'));

  await workbench.drag('Tropical', 12);
  const mine = await workbench.wished('Tropical');
  const notice = other.page.getByRole('alert').filter({ hasText: 'changed in another tab' });
  await expect(notice).toBeVisible();
  await other.drag('Citrus', 15);
  const theirs = await other.wished('Citrus');
  await expect(notice).toContainText('not saved until you choose');
  await notice.getByRole('button', { name: 'Keep mine as a copy' }).click();
  await expect(notice).toHaveCount(0);
  await expect.poll(() => shown(other)).toBe(`${FIRST} (copy)`);
  await expect.poll(() => other.wished('Citrus')).toBe(theirs);
  await other.designs.selectOption(FIRST);
  await expect.poll(() => other.wished('Tropical')).toBe(mine);

  await expect.poll(() => names(workbench)).toContain(`${FIRST} (copy)`);
  await expect.poll(() => shown(workbench)).toBe(FIRST);

  await workbench.drag('Tropical', -12);
  const newer = await workbench.wished('Tropical');
  expect(newer).not.toBe(mine);
  await other.page.getByRole('button', { name: 'Load that version' }).click();
  await expect.poll(() => other.wished('Tropical')).toBe(newer);

  // Another design follows by itself.
  await workbench.designs.selectOption('Pine and grapefruit, bitter');
  await rename(page, 'Pine, renamed');
  await expect.poll(() => names(other)).toContain('Pine, renamed');
  await expect(other.page.getByRole('alert')).toHaveCount(0);
});

test('a workspace goes out as a file and comes in elsewhere as it was', async ({
  page,
  workbench,
  browser,
  baseURL,
}, info) => {
  await workbench.open();
  await rename(page, 'Saved to a file');
  await workbench.drag('Tropical', -20);
  const wished = await workbench.wished('Tropical');
  const all = await names(workbench);
  await page.getByRole('button', { name: 'Files' }).click();
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save a workspace file' }).click();
  const file = info.outputPath('workspace.json');
  await (await download).saveAs(file);

  const fresh = await browser.newContext({ ...(baseURL && { baseURL }) });
  const elsewhere = new Workbench(await fresh.newPage());
  await elsewhere.open();
  await elsewhere.page.getByRole('button', { name: 'Files' }).click();
  const files = elsewhere.page.getByRole('dialog', { name: 'Files' });
  const chooser = files.getByLabel(/^Open a workspace file/);

  const document = JSON.parse(await readFile(file, 'utf8'));
  const broken = structuredClone(document);
  broken.designs[1].brief.batch.beer_l = -3;
  const buffer = Buffer.from(JSON.stringify(broken));
  const picture = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 0x10]);
  await chooser.setInputFiles({ name: 'label.jpg', mimeType: 'image/jpeg', buffer: picture });
  await expect(files.getByRole('alert')).toContainText('label.jpg: this is a picture, not text.');
  await chooser.setInputFiles({ name: 'broken.json', mimeType: 'application/json', buffer });
  await expect(files.getByRole('alert')).toContainText(
    'broken.json, designs[1].brief.batch.beer_l: -3 is negative.',
  );
  await expect(files.getByRole('status')).toContainText(`${all.length - 1} designs`);

  await chooser.setInputFiles(file);
  await expect(files.getByRole('alert')).toHaveCount(0);
  await files.getByRole('button', { name: 'Replace everything here' }).click();
  await expect(files).toHaveCount(0);
  await expect.poll(() => names(elsewhere)).toEqual(all);
  await expect.poll(() => shown(elsewhere)).toBe('Saved to a file');
  await expect.poll(() => elsewhere.wished('Tropical')).toBe(wished);
  await elsewhere.undo.click();
  await expect.poll(() => shown(elsewhere)).toBe(FIRST);

  // A recipe of another program comes in among the files, and goes out with all that stood in it.
  await elsewhere.page.getByRole('button', { name: 'Files' }).click();
  const recipe = (text: string) => ({
    name: 'recipe.xml',
    mimeType: 'application/xml',
    buffer: Buffer.from(text),
  });
  const coming = elsewhere.page.getByRole('dialog', { name: 'Import a schedule' });
  await chooser.setInputFiles(recipe(`<!DOCTYPE r [<!ENTITY a "aaaa">]>${RECIPE}`));
  await expect(coming.getByRole('alert')).toContainText('declares a document type');
  await coming.getByLabel(/^Schedule or recipe/).setInputFiles(recipe(RECIPE));
  await expect(coming.getByText('2 additions can be taken')).toBeVisible();
  await expect(coming.getByRole('list', { name: 'What the recipe does not tell' })).toContainText(
    'standard yeast is assumed',
  );
  await coming.getByRole('button', { name: 'Open', exact: true }).click();
  await expect.poll(() => shown(elsewhere)).toBe('Kölsch & more');
  await act(elsewhere.page, 'Share');
  const saved = async (format: string): Promise<string> => {
    const offered = elsewhere.page.waitForEvent('download');
    await elsewhere.page.getByRole('button', { name: `Save as ${format}` }).click();
    return readFile(await (await offered).path(), 'utf8');
  };
  const xml = await saved('BeerXML');
  expect(xml).toContain('<KEPT_BY_ANOTHER>1 &lt; 2</KEPT_BY_ANOTHER>');
  expect(xml.match(/<HOP>/g)).toHaveLength(2);
  const { beerjson } = JSON.parse(await saved('BeerJSON'));
  expect(beerjson.recipes[0].ingredients.hop_additions).toMatchObject([
    { name: 'Magnum', amount: { unit: 'g', value: 20 }, timing: { use: 'add_to_boil' } },
    { name: 'Citra', amount: { unit: 'g', value: 80 }, timing: { use: 'add_to_fermentation' } },
  ]);
  await fresh.close();
});

test('a shared link opens as a copy and leaves one’s own alone', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.drag('Tropical', -20);
  const shared = await workbench.wished('Tropical');
  await act(page, 'Share');
  const link = await page.getByRole('textbox', { name: 'Link' }).inputValue();
  expect(link.length).toBeLessThan(2000);
  await page.keyboard.press('Escape');
  await workbench.drag('Tropical', 12);
  const own = await workbench.wished('Tropical');
  expect(own).not.toBe(shared);
  await expect(page.getByText(SAVED)).toBeVisible();
  const before = await names(workbench);

  await page.goto('about:blank');
  await page.goto(link);
  await expect.poll(() => names(workbench)).toEqual([...before, `${FIRST} 2`]);
  // Kept first, then the address is clean again.
  await expect.poll(() => new URL(page.url()).hash).toBe('');
  await expect.poll(() => shown(workbench)).toBe(`${FIRST} 2`);
  await expect.poll(() => workbench.wished('Tropical')).toBe(shared);
  await workbench.designs.selectOption(FIRST);
  await expect.poll(() => workbench.wished('Tropical')).toBe(own);

  await page.goto('./#design=1znonsense');
  await expect(page.getByRole('alert')).toContainText('Not opened: the link');
});

test('a full store is reported with the cure', async ({ page, workbench }) => {
  await page.addInitScript(() => {
    IDBObjectStore.prototype.put = () => {
      throw new DOMException('full', 'QuotaExceededError');
    };
  });
  await workbench.open();
  await workbench.drag('Tropical', -20);
  const notice = page.getByRole('alert');
  await expect(notice).toContainText('Not saved: the storage this browser gives');
  // To keep the next edit is tried again; meanwhile no button goes under the hand.
  const file = notice.getByRole('button', { name: 'Save a workspace file' });
  const before = await workbench.settledBlend();
  const first = await file.elementHandle();
  await workbench.handle('Tropical').press('PageDown');
  await workbench.blendAfter(before);
  await expect(workbench.brief.getByText('Not saved', { exact: true })).toBeVisible();
  expect(await first!.evaluate((button) => button.isConnected)).toBe(true);
  const download = page.waitForEvent('download');
  await file.click();
  const dialog = page.getByRole('dialog', { name: 'Files' });
  await dialog.getByRole('button', { name: 'Save a workspace file' }).click();
  expect((await download).suggestedFilename()).toMatch(/^blendbine-\d{4}-\d\d-\d\d\.json$/);
});

test('the one brief of an earlier version becomes a design', async ({ page, workbench }) => {
  const empty = '<link rel="icon" href="data:," />';
  await page.route('**/empty', (route) => route.fulfill({ contentType: 'text/html', body: empty }));
  await page.goto('./empty');
  await page.evaluate(async () => {
    const opening = indexedDB.open('blendbine', 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore('briefs');
    await new Promise((done) => (opening.onsuccess = done));
    const brief = {
      name: 'From before',
      batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
      stages: { dry_hop: { temp_c: 16, hours: 72, mixed: false, live_yeast: false } },
      target: { citrus: { at_least: 2 } },
      limits: { ban: [], require: [] },
      minimise: 'weight',
      candidates: 'table',
    };
    const { result } = opening;
    const writing = result.transaction('briefs', 'readwrite');
    writing.objectStore('briefs').put({ version: 1, savedAt: '2026-01-01', brief }, 'open');
    await new Promise((done) => (writing.oncomplete = done));
    result.close();
  });
  await workbench.open();
  await expect.poll(() => names(workbench)).toEqual(['From before']);
  await expect.poll(() => workbench.wished('Citrus')).toBe(2);
});

test('a page stays where it is while it starts', async ({ context }) => {
  const shiftOf = async (path: string, width: number) => {
    const page = await context.newPage();
    await page.setViewportSize({ width, height: 844 });
    await page.goto(path);
    await page.waitForLoadState('networkidle');
    return page.evaluate(
      () =>
        new Promise<number>((done) => {
          let sum = 0;
          new PerformanceObserver((list) => {
            for (const entry of list.getEntries())
              sum += (entry as unknown as { value: number }).value;
          }).observe({ type: 'layout-shift', buffered: true });
          // What is asked in the background comes within this.
          setTimeout(() => done(sum), 1500);
        }),
    );
  };
  const paths = ['./', './compare/', './stock/', './hops/', './hops/citra/', './evidence/'];
  for (const width of [390, 1280]) {
    const shifts = await Promise.all(paths.map(async (path) => [path, await shiftOf(path, width)]));
    expect(shifts, `${width} px`).toEqual(paths.map((path) => [path, 0]));
  }
});

test('what is unfolded and chosen before the scripts have come stays so', async ({
  page,
  workbench,
}) => {
  const release = await holdScripts(page);
  await page.goto('./', { waitUntil: 'commit' });
  await workbench.unfold('Batch');
  await workbench.unfold('Limits');
  await workbench.unfold('Limits');
  await workbench.designs.selectOption('Pine and grapefruit, bitter');
  await page.getByLabel('Units').selectOption('US');
  release();
  await workbench.atWork();
  await expect(workbench.designs.getByRole('option', { selected: true })).toHaveText(
    'Pine and grapefruit, bitter',
  );
  await expect(workbench.undo).toHaveAttribute('title', /Pine and grapefruit, bitter/);
  await expect(workbench.field('Beer volume')).toHaveAccessibleDescription('gal');
  await expect(workbench.field('Beer volume')).toBeVisible();
  const limits = page.locator('details', { has: page.getByRole('heading', { name: 'Limits' }) });
  await expect(limits).not.toHaveAttribute('open');
});
