// Every page is written to a file at build time: the demo is in the HTML, and there is no server.
export const prerender = true;
