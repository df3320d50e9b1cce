// The parts of the guide in their order: the anchor of each and its name.
export const PARTS = [
  ['start', 'The first blend'],
  ['profile', 'Chase a profile'],
  ['swap', 'Replace a hop that is out of stock'],
  ['cost', 'Spend less'],
  ['lots', 'Enter your lots and figures'],
  ['brew', 'Brew day'],
  ['tasting', 'Tasting'],
  ['next', 'The next batch'],
  ['devices', 'On phones and several devices'],
  ['method', 'How the figures are worked out'],
  ['limits', 'What the figures cannot tell'],
] as const;
