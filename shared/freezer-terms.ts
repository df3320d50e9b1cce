// What the page and the server of a shared freezer agree on: the address, the link that lets a device in, how large a
// message may be, and the reasons for a refusal.
import { failure, success, type Outcome } from './outcome.ts';

/** Where the server listens, on the origin of the page. */
export const FREEZER_PATH = '/freezer';
/** Begins the fragment of an address that lets a device in. No browser sends a fragment to a server. */
export const FREEZER_PREFIX = '#freezer=';

/** Largest message, bytes: 5000 lots and 500 designs at once take a quarter of it. */
export const MESSAGE_BYTES_MAX = 16_000_000;
/** Longest name of a device, characters. */
export const DEVICE_NAME_MAX = 40;

/** Which freezer, and the secret that opens it. */
export interface FreezerKey {
  readonly id: string;
  readonly token: string;
}

const FREEZER_LINK = /^#freezer=([a-z0-9]{8})-([A-Za-z0-9_-]{22})$/;

export function freezerFragment({ id, token }: FreezerKey): string {
  return `${FREEZER_PREFIX}${id}-${token}`;
}

/** The key in the fragment of a link. */
export function readFreezerFragment(fragment: string): Outcome<FreezerKey> {
  const [, id, token] = FREEZER_LINK.exec(fragment) ?? [];
  if (id !== undefined && token !== undefined) return success({ id, token });
  return failure({
    path: '',
    message: 'the link to the shared freezer is not whole',
    cure: 'Scan the code again, or copy the link whole from where the freezer is served',
  });
}

/** The name by which devices ask the server for the freezer. */
export const freezerName = ({ id }: FreezerKey): string => `freezer-${id}`;

/** Why the server refuses or disconnects a device. The code is sent over the connection. */
export const REFUSALS = {
  'wrong-key': {
    reason: 'the server does not know this link',
    cure: 'Scan the code that npm run share shows now: it may have been made anew',
  },
  full: {
    reason: 'the shared freezer is full',
    cure: 'Save a workspace file, then begin a new freezer with fewer old designs and batches',
  },
  flood: {
    reason: 'this device sent more than the server takes in a second',
    cure: 'Turn sharing off and on again; where it comes back, reload this page',
  },
  'many-devices': {
    reason: 'as many devices are in as the server takes',
    cure: 'Close the page on devices that do not need it',
  },
  'not-understood': {
    reason: 'this page and the server do not understand each other',
    cure: 'Reload this page to get the version that the server has',
  },
} as const;
export type Refusal = keyof typeof REFUSALS;

export const isRefusal = (code: unknown): code is Refusal =>
  typeof code === 'string' && Object.hasOwn(REFUSALS, code);

/** Deepest nesting of a shared value: more than any part of a workspace has, a tenth of what overflows the stack. */
export const SHARED_DEPTH_MAX = 64;
