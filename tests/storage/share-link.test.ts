// A shared design comes back as it was, and links that were cut, mangled or made elsewhere are refused
// with a reason.
import { afterEach, describe, expect, it, vi } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import { savedDesign } from '#state/documents/documents.ts';
import { SHARE_MAX, shareFragment, sharedDesign } from '#storage/share-link.ts';

const blend: SavedDesign['blend'] = [
  { hop: 'Hallertau Mittelfrüh', form: 'cone', stage: 'mash', grams: 12.5 },
];
const designs = SEED_BRIEFS.map(({ brief }) => savedDesign(brief, { blend, note: 'ü “note”\n2' }));

async function fragmentOf(design: SavedDesign): Promise<string> {
  const made = await shareFragment(design);
  if (!made.ok) throw new Error(made.problems[0]!.message);
  return made.value;
}

async function refusal(fragment: string): Promise<string> {
  const read = await sharedDesign(fragment);
  return read.ok ? '' : read.problems.map((p) => `${p.message}. ${p.cure}.`).join(' ');
}

afterEach(() => vi.unstubAllGlobals());

describe.each([true, false])('with compression: %s', (compressed) => {
  it.each(designs)('$brief.name comes back', async (design) => {
    if (!compressed) vi.stubGlobal('CompressionStream', undefined);
    const fragment = await fragmentOf(design);
    expect(fragment).toMatch(/^#design=[\w-]+$/);
    const { brief, note } = design;
    expect(await sharedDesign(fragment)).toEqual({ ok: true, value: { brief, blend, note } });
  });
});

it('a usual design makes a link short enough for any program', async () => {
  expect((await fragmentOf(designs[0]!)).length).toBeLessThan(2000);
});

it('a design too large for a link is refused with its size and the cure', async () => {
  const candidates = Array.from({ length: 900 }, (_, i) => ({
    hop: `Lot ${(i * 7919) % 900} ${Math.sin(i)}`,
    form: 'cone' as const,
  }));
  const made = await shareFragment({
    ...designs[0]!,
    brief: { ...designs[0]!.brief, candidates },
  });
  expect(made.ok).toBe(false);
  if (made.ok) return;
  expect(made.problems[0]!.message).toContain(`over the ${SHARE_MAX}`);
  expect(made.problems[0]!.message).toContain('900 lots');
  expect(made.problems[0]!.cure).toContain('file');
});

describe('a link that', () => {
  it('was cut off is refused', async () => {
    const fragment = await fragmentOf(designs[0]!);
    expect(await refusal(fragment.slice(0, -40))).toMatch(/damaged/);
    expect(await refusal('#design=')).toMatch(/not whole/);
    expect(await refusal('#design=1z!!')).toMatch(/not whole/);
  });

  it('is of a newer version says so', async () => {
    expect(await refusal('#design=2zAAAA')).toMatch(/newer version/);
  });

  it('unpacks to more than any design is not unpacked', async () => {
    const bytes = new Uint8Array(5_000_000);
    const packed = new Blob([bytes]).stream().pipeThrough(new CompressionStream('deflate-raw'));
    const text = Buffer.from(await new Response(packed).arrayBuffer()).toString('base64url');
    expect(await refusal(`#design=1z${text}`)).toMatch(/larger than any/);
  });

  it('is longer than any that is made is not unpacked', async () => {
    for (const kind of ['p', 'z']) {
      expect(await refusal(`#design=1${kind}${'A'.repeat(10_000_000)}`)).toMatch(
        /10000010 characters, over the 8000.*Ask for the link again/,
      );
    }
  });

  it('holds no sound design says what is wrong', async () => {
    const wrong = { brief: { ...designs[0]!.brief, batch: { beer_l: -5 } }, note: '' };
    const text = Buffer.from(JSON.stringify(wrong)).toString('base64url');
    expect(await refusal(`#design=1p${text}`)).toContain('-5 is negative');
  });
});
