// One design as the fragment of an address, which no browser sends to a server. It is compressed where the
// browser can, carries a version, and is limited in length, because mail and chat programs cut long addresses.
import { onFirstUse, z } from '#shared/zod.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { readJson } from '#shared/reading/json.ts';
import { check } from '#shared/reading/check.ts';
import { savedDesignSchema, SHARE_PREFIX, type SavedDesign } from '#shared/schemas/workspace.ts';

/** Longest fragment written and read, characters. A judgement: most programs pass on 8000 unbroken. */
export const SHARE_MAX = 8000;
/** Largest design read from a link, characters of JSON: a short link can unpack to any size. */
const UNPACKED_MAX = 1_000_000;
const VERSION = '1';
/** Prefixes that say how the text is packed: plain, or deflated without a header. */
const PLAIN = 'p';
const DEFLATED = 'z';

const sharedSchema = onFirstUse(() =>
  z.omit(savedDesignSchema, { id: true, saved_at: true, recipe: true }),
);
export type SharedDesign = Pick<SavedDesign, 'brief' | 'blend' | 'own' | 'note'>;

function toText(bytes: Uint8Array): string {
  const text = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  return btoa(text).replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '');
}

function fromText(text: string): Uint8Array<ArrayBuffer> {
  const bytes = atob(text.replaceAll('-', '+').replaceAll('_', '/'));
  return Uint8Array.from(bytes, (letter) => letter.charCodeAt(0));
}

/** All bytes of a stream; `null` when there are more than `most`. */
async function collected(stream: ReadableStream<Uint8Array>, most: number) {
  const reader = stream.getReader();
  const chunks: Uint8Array[] = [];
  let size = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    size += value.length;
    if (size > most) {
      await reader.cancel();
      return null;
    }
    chunks.push(value);
  }
  const all = new Uint8Array(size);
  let at = 0;
  for (const chunk of chunks) {
    all.set(chunk, at);
    at += chunk.length;
  }
  return all;
}

const canPack = () => typeof CompressionStream !== 'undefined';

async function packed(bytes: Uint8Array<ArrayBuffer>): Promise<Uint8Array> {
  const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream('deflate-raw'));
  return (await collected(stream, Infinity))!;
}

/** The fragment that carries a design; fails with the reason where it would be too long. */
export async function shareFragment(design: SavedDesign): Promise<Outcome<string>> {
  const { brief, blend, own, note } = design;
  const shared: SharedDesign = { brief, ...(blend && { blend }), ...(own && { own }), note };
  const bytes = new TextEncoder().encode(JSON.stringify(shared));
  const body = canPack() ? DEFLATED + toText(await packed(bytes)) : PLAIN + toText(bytes);
  const fragment = `${SHARE_PREFIX}${VERSION}${body}`;
  if (fragment.length <= SHARE_MAX) return success(fragment);
  const lots = brief.candidates === 'table' ? 0 : brief.candidates.length;
  return failure({
    path: '',
    message: `the link would have ${fragment.length} characters, over the ${SHARE_MAX} that mail and chat programs pass on${lots > 20 ? `; its ${lots} lots take the room` : ''}`,
    cure: 'Save the design as a file and send that',
  });
}

const broken = (message: string) =>
  failure<SharedDesign>({
    path: '',
    message,
    cure: 'Ask for the link again, copied whole',
  });

/** The design a fragment carries. */
export async function sharedDesign(fragment: string): Promise<Outcome<SharedDesign>> {
  if (fragment.length > SHARE_MAX) {
    return broken(
      `the link has ${fragment.length} characters, over the ${SHARE_MAX} of any made here`,
    );
  }
  const [, version, kind, text] =
    /^(\d+)([a-z])([\w-]+)$/.exec(fragment.slice(SHARE_PREFIX.length)) ?? [];
  if (version === undefined || kind === undefined || text === undefined) {
    return broken('the link to a shared design is not whole');
  }
  if (version !== VERSION || ![PLAIN, DEFLATED].includes(kind)) {
    return failure({
      path: '',
      message: 'the link was made by a newer version of this page',
      cure: 'Reload this page to get the newest version, or ask for a file',
    });
  }
  try {
    let bytes: Uint8Array | null = fromText(text);
    if (kind === DEFLATED) {
      const stream = new Blob([fromText(text)]).stream();
      bytes = await collected(
        stream.pipeThrough(new DecompressionStream('deflate-raw')),
        UNPACKED_MAX,
      );
    }
    if (!bytes || bytes.length > UNPACKED_MAX)
      return broken('the design in the link is larger than any that is made here');
    const { value, problems } = readJson(new TextDecoder().decode(bytes));
    if (problems.length > 0) return failure(...problems);
    return check<SharedDesign>(value, sharedSchema);
  } catch {
    return broken('the link to a shared design is damaged');
  }
}
