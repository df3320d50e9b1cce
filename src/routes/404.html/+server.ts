// The page a static host sends with status 404, at any depth and in any folder. It needs no other file, and its link
// leads one folder up, where the program is, or this page again.
import type { RequestHandler } from './$types';

export const prerender = true;

/** In the colours and sizes of the program (app.css). */
const STYLE = [
  'html{color-scheme:light dark;background:light-dark(#fcfbf8,#101318);color:light-dark(#181d27,#edebe5)}',
  'body{font:1rem/1.5 system-ui,sans-serif;max-width:32rem;margin:12vh auto;padding:0 20px}',
  'h1{margin:0;font-size:2.125rem;line-height:1.25}',
  'a{color:light-dark(#2043a3,#9ebdff)}',
].join('');
/** An address with a closing slash is a folder of its own. */
const SCRIPT = "if(location.pathname.endsWith('/'))document.querySelector('a').href='../'";

/** The hash by which a content policy allows a text. */
async function hashOf(text: string): Promise<string> {
  const bytes = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));
  return `'sha256-${btoa(String.fromCharCode(...new Uint8Array(bytes)))}'`;
}

const pageOf = (policy: string) => `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<meta name="description" content="There is no page of Blendbine at this address.">
<title>No such page: Blendbine</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<h1>There is no such page</h1>
<p>The address may be mistyped, or the page is no longer there. Your work is kept in this browser.</p>
<p><a href="./">Go one step up</a></p>
</main>
<script>${SCRIPT}</script>
</body>
</html>
`;

export const GET: RequestHandler = async () => {
  const [style, script] = [await hashOf(STYLE), await hashOf(SCRIPT)];
  const policy = `default-src 'none'; style-src ${style}; script-src ${script}`;
  const headers = { 'Content-Type': 'text/html; charset=utf-8' };
  return new Response(pageOf(policy), { headers });
};
