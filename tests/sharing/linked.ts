// A server of a shared freezer on loopback, and devices on a real line to it. A server that is killed writes
// nothing any more; a device that is killed forgets what it did not keep.
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WebSocket } from 'ws';
import { FREEZER_PATH, type FreezerKey } from '#shared/freezer-terms.ts';
import { FreezerLine, type LineState } from '#sharing/line.ts';
import { FreezerFile } from '../../src/serve/freezer-file.ts';
import { FreezerServer, type FreezerLimits } from '../../src/serve/freezer-server.ts';
import { Device } from './device.ts';

/** A line given up before it is open is no error, as in a browser. */
class QuietSocket extends WebSocket {
  constructor(url: string) {
    super(url);
    this.on('error', () => undefined);
  }
}
// Node 20 has none of its own.
Object.defineProperty(globalThis, 'WebSocket', { value: QuietSocket, configurable: true });

export interface KillableServer {
  readonly url: string;
  readonly key: FreezerKey;
  start(): Promise<void>;
  stop(isKilled?: boolean): Promise<void>;
}

export class LoopbackServer implements KillableServer {
  readonly folder = mkdtempSync(join(tmpdir(), 'freezer-'));
  #http: Server | null = null;
  #server: FreezerServer | null = null;
  #port = 0;
  key!: FreezerKey;

  constructor(private readonly limits: Partial<FreezerLimits> = {}) {}

  get url(): string {
    return `ws://127.0.0.1:${this.#port}${FREEZER_PATH}`;
  }

  async start(): Promise<void> {
    const file = FreezerFile.open(this.folder);
    if (!file.ok) throw new Error(file.problems[0]!.message);
    this.key = file.value.key;
    const http = createServer();
    this.#server = new FreezerServer(http, file.value, this.limits);
    await new Promise<void>((listening) => http.listen(this.#port, '127.0.0.1', listening));
    this.#port = (http.address() as AddressInfo).port;
    this.#http = http;
  }

  /** @param isKilled whether it has no time to write. */
  async stop(isKilled = false): Promise<void> {
    await this.#server?.close(isKilled);
    const http = this.#http;
    http?.closeAllConnections();
    await new Promise<void>((closed) => (http ? http.close(() => closed()) : closed()));
    this.#http = null;
    this.#server = null;
  }

  async end(): Promise<void> {
    await this.stop();
    rmSync(this.folder, { recursive: true });
  }
}

/** A device that takes a turn whenever the line brings something. */
export class LinkedDevice extends Device {
  #line: FreezerLine | null = null;
  /** How the line stands. */
  said: LineState | null = null;

  constructor(
    name: string,
    private readonly server: { readonly url: string; readonly key: FreezerKey },
  ) {
    super(name, new Map(), () => void this.step());
  }

  async step(): Promise<void> {
    await this.replica.step().catch(() => undefined);
  }

  link(): void {
    const { url, key } = this.server;
    this.#line ??= new FreezerLine(
      this.replica,
      { url, key, name: this.name },
      { changed: (said) => (this.said = said) },
      [20, 100],
    );
  }

  unlink(): void {
    this.#line?.close();
    this.#line = null;
    this.said = null;
  }

  override kill(): void {
    const wasLinked = this.#line !== null;
    this.unlink();
    super.kill();
    if (wasLinked) this.link();
  }
}
