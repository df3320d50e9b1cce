// Runs for each page at build time: removes from its head the style sheets of parts that are loaded on demand.
// They are loaded with those parts; a page that waited for all twenty would be painted later.
import { existsSync, readFileSync } from 'node:fs';

/** A script of the site as the bundler describes it, under the key by which others import it. */
interface Script {
  readonly file: string;
  readonly css?: readonly string[];
  readonly imports?: readonly string[];
}
const MANIFEST = '.svelte-kit/output/client/.vite/manifest.json';
const scripts: Readonly<Record<string, Script>> = existsSync(MANIFEST)
  ? (JSON.parse(readFileSync(MANIFEST, 'utf8')) as Record<string, Script>)
  : {};

/** Style sheets of the scripts that a page names and of all scripts they import by statements. */
function sheetsOf(html: string): ReadonlySet<string> {
  const waiting = Object.keys(scripts).filter((key) => html.includes(scripts[key]!.file));
  const found = new Set<string>();
  const sheets = new Set<string>();
  for (let key = waiting.pop(); key !== undefined; key = waiting.pop()) {
    if (found.has(key)) continue;
    found.add(key);
    for (const sheet of scripts[key]!.css ?? []) sheets.add(sheet);
    waiting.push(...(scripts[key]!.imports ?? []));
  }
  return sheets;
}

const SHEET = /\s*<link href="[^"]*?(_app\/[^"]+\.css)" rel="stylesheet">/g;

/** A request, and the function that makes its page. */
interface RequestToMake<Event> {
  readonly event: Event;
  readonly resolve: (
    event: Event,
    options: { transformPageChunk: (chunk: { html: string }) => string },
  ) => Response | Promise<Response>;
}

export const handle = <Event>({
  event,
  resolve,
}: RequestToMake<Event>): Response | Promise<Response> =>
  resolve(event, {
    transformPageChunk: ({ html }) => {
      const sheets = sheetsOf(html);
      if (sheets.size === 0) return html;
      return html.replaceAll(SHEET, (link, path: string) => (sheets.has(path) ? link : ''));
    },
  });
