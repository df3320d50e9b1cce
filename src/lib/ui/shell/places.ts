// The places of the program, in the order of the navigation. A new page is one entry here, its path with
// a closing slash: each page is the index of a folder.

export const PLACES = [
  { path: '/', name: 'Design' },
  { path: '/brew/', name: 'Brew' },
  { path: '/season/', name: 'Season' },
  { path: '/hops/', name: 'Hops' },
  { path: '/stock/', name: 'Stock' },
  { path: '/compare/', name: 'Compare' },
  { path: '/evidence/', name: 'Evidence' },
  { path: '/guide/', name: 'Guide' },
] as const;
