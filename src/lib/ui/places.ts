// The places of the program, in the order of the navigation. A new page is one entry here.

export const PLACES = [
  { path: '/', name: 'Design' },
  { path: '/hops', name: 'Hops' },
] as const;
