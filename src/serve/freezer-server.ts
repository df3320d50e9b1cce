// The server of a shared freezer, on the origin of the page: it admits devices that have the key, passes on
// what they send, and stores it in a file. Whatever a device sends, the server keeps running, the other devices
// are not disturbed, and a refused device is told why.
import { timingSafeEqual } from 'node:crypto';
import type { IncomingMessage, Server as HttpServer } from 'node:http';
import type { Duplex } from 'node:stream';
import { Hocuspocus } from '@hocuspocus/server';
import { WebSocket, WebSocketServer, type Server as SocketServer } from 'ws';
import * as Y from 'yjs';
import {
  FREEZER_PATH,
  freezerName,
  MESSAGE_BYTES_MAX,
  type FreezerKey,
  type Refusal,
} from '#shared/freezer-terms.ts';
import { reasonOf } from '#shared/outcome.ts';
import { asFreezer, entriesIn } from '#sharing/document.ts';
import type { FreezerFile } from './freezer-file.ts';
import { Gate, USUAL_LIMITS, type GateLimits, type FreezerHeld } from './freezer-gate.ts';

export interface FreezerLimits extends GateLimits {
  readonly devices: number;
  /** Largest freezer, bytes. */
  readonly bytes: number;
  /** How long a device may take to show its key, ms. */
  readonly strangerMs: number;
}
const USUAL: FreezerLimits = {
  ...USUAL_LIMITS,
  devices: 64,
  // The most that one device can restore where the file is lost.
  bytes: MESSAGE_BYTES_MAX,
  strangerMs: 10_000,
};

/** Least and greatest delay between a change and its writing, ms. */
const WRITE_MS = 500;
const WRITE_MOST_MS = 2000;
/** Codes for closing a connection, from the range left to programs. */
const CLOSED: Readonly<Record<Refusal, number>> = {
  'wrong-key': 4403,
  full: 4413,
  flood: 4429,
  'many-devices': 4503,
  'not-understood': 4400,
};

/** An error that the server library passes on to the device. */
class Refused extends Error {
  readonly code: number;
  constructor(readonly reason: Refusal) {
    super(reason);
    this.code = CLOSED[reason];
  }
}

/** The freezer before any device has joined. */
const NOTHING: FreezerHeld = { parts: new Map(), entries: 0 };

/** What the server keeps for a connection. */
interface Visit {
  readonly gate: Gate;
  readonly socket: WebSocket;
}

/** A connection whose messages are checked before the server library gets them. */
class GatedSocket extends WebSocket {
  gate: Gate | null = null;
  refuse: (why: Refusal) => void = () => this.terminate();

  override emit(event: string | symbol, ...heard: unknown[]): boolean {
    if (event === 'message') {
      if (this.readyState !== this.OPEN) return false;
      const why = this.gate?.refusal(heard[0] as Buffer);
      if (why) {
        this.refuse(why);
        return false;
      }
    }
    return super.emit(event, ...heard);
  }
}

/** Compares tokens in constant time, so that the time does not reveal how much of a token is right. */
function isToken(given: string, { token }: FreezerKey): boolean {
  const [a, b] = [Buffer.from(given), Buffer.from(token)];
  return a.length === b.length && timingSafeEqual(a, b);
}

export class FreezerServer {
  readonly #sockets: SocketServer<typeof GatedSocket>;
  readonly #hub: Hocuspocus;
  readonly #limits: FreezerLimits;
  /** Size of the freezer in bytes, including what arrived since it was last written. */
  #bytes = 0;
  #isClosed = false;

  constructor(
    private readonly http: HttpServer,
    private readonly file: FreezerFile,
    limits: Partial<FreezerLimits> = {},
  ) {
    this.#limits = { ...USUAL, ...limits };
    this.#sockets = new WebSocketServer({
      noServer: true,
      WebSocket: GatedSocket,
      maxPayload: MESSAGE_BYTES_MAX,
      perMessageDeflate: false,
    });
    this.#hub = this.#makeHub();
    http.on('upgrade', this.#upgrade);
  }

  /** Stops the server. @param isKilled whether unwritten changes are lost, as in a crash. */
  async close(isKilled = false): Promise<void> {
    this.http.off('upgrade', this.#upgrade);
    const document = this.#hub.documents.get(freezerName(this.file.key));
    this.#isClosed = true;
    if (document && !isKilled) await this.file.write(Y.encodeStateAsUpdate(document));
    for (const socket of this.#sockets.clients) socket.terminate();
    this.#sockets.close();
  }

  #makeHub(): Hocuspocus {
    const { file } = this;
    return new Hocuspocus({
      quiet: true,
      debounce: WRITE_MS,
      maxDebounce: WRITE_MOST_MS,
      onAuthenticate: ({ token, documentName, context }) => {
        const { gate, socket } = context as Visit;
        if (documentName === freezerName(file.key) && isToken(token, file.key)) {
          gate.letIn();
          return Promise.resolve();
        }
        // The refusal is sent first, then the connection is closed.
        setImmediate(() => this.#shut(socket, 'wrong-key'));
        return Promise.reject(new Refused('wrong-key'));
      },
      beforeHandleMessage: ({ update, context }) => {
        if (this.#bytes + update.length <= this.#limits.bytes) return Promise.resolve();
        this.#shut((context as Visit).socket, 'full');
        return Promise.reject(new Refused('full'));
      },
      onLoadDocument: ({ document }) => {
        asFreezer(document);
        const kept = file.read();
        if (kept) Y.applyUpdate(document, kept);
        this.#bytes = kept?.length ?? 0;
        return Promise.resolve();
      },
      onChange: ({ update }) => {
        this.#bytes += update.length;
        return Promise.resolve();
      },
      onStoreDocument: async ({ document }) => {
        if (this.#isClosed) return;
        const state = Y.encodeStateAsUpdate(document);
        this.#bytes = state.length;
        try {
          await file.write(state);
        } catch (error) {
          // The devices still have the changes; the next change tries to write again.
          const reason = reasonOf(error);
          console.error(
            `The shared freezer could not be written (${reason}). Free room on the disk.`,
          );
        }
      },
      // A message that cannot be accepted ends the visit in the library, and it hears nothing more on a line
      // without a visit: close the line.
      onDisconnect: ({ context }) => {
        const { socket } = context as Visit;
        if (socket.readyState === socket.OPEN) this.#shut(socket, 'not-understood');
        return Promise.resolve();
      },
    });
  }

  readonly #upgrade = (request: IncomingMessage, socket: Duplex, head: Buffer): void => {
    socket.on('error', () => socket.destroy());
    const { pathname } = new URL(request.url ?? '/', 'http://freezer');
    if (pathname !== FREEZER_PATH) {
      socket.end('HTTP/1.1 404 Not Found\r\nConnection: close\r\n\r\n');
      return;
    }
    this.#sockets.handleUpgrade(request, socket, head, (opened: GatedSocket) =>
      this.#receive(opened, request),
    );
  };

  #receive(socket: GatedSocket, request: IncomingMessage): void {
    // A broken frame or a message that is too large ends the connection; ws has told the device why.
    socket.on('error', () => socket.terminate());
    if (this.#sockets.clients.size > this.#limits.devices) {
      this.#shut(socket, 'many-devices');
      return;
    }
    const gate = new Gate(
      this.#limits,
      () => performance.now(),
      () => this.#held(),
    );
    socket.gate = gate;
    socket.refuse = (why) => this.#shut(socket, why);
    const impatience = setTimeout(() => {
      if (!gate.isKnown) this.#shut(socket, 'wrong-key');
    }, this.#limits.strangerMs);
    socket.once('close', () => clearTimeout(impatience));
    this.#hub.handleConnection(socket, request, { gate, socket } satisfies Visit);
  }

  #held(): FreezerHeld {
    const document = this.#hub.documents.get(freezerName(this.file.key));
    return document ? { parts: document.share, entries: entriesIn(document) } : NOTHING;
  }

  #shut(socket: WebSocket, why: Refusal): void {
    socket.close(CLOSED[why], why);
    // A device that does not answer the closing handshake is disconnected.
    setTimeout(() => socket.terminate(), 1000).unref();
  }
}
