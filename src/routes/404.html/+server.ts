// The page a static host sends with status 404, at whatever depth and in whatever folder: it needs nothing but
// itself, and its link leads one step up, where the program or again this page is.
import { createHash } from 'node:crypto';
import type { RequestHandler } from './$types';

export const prerender = true;

const STYLE =
  'body{font:1.06rem/1.5 system-ui,sans-serif;max-width:34rem;margin:12vh auto;padding:0 20px;color-scheme:light dark}';
/** An address with a closing slash is a folder of its own. */
const SCRIPT = "if(location.pathname.endsWith('/'))document.querySelector('a').href='../'";

const hashOf = (text: string) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;
const POLICY = `default-src 'none'; style-src ${hashOf(STYLE)}; script-src ${hashOf(SCRIPT)}`;

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${POLICY}">
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

export const GET: RequestHandler = () =>
  new Response(PAGE, { headers: { 'Content-Type': 'text/html; charset=utf-8' } });
