// Every page is written to a file at build time: the demo is in the HTML, and there is no server. Each
// is the index of a folder of its own, which every static host and file server finds.
export const prerender = true;
export const trailingSlash = 'always';
