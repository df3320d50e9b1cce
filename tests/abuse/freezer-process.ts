// The server of a shared freezer as a process of its own on loopback, so that it can be killed outright.
// Arguments: the folder, and the port (0 for any); prints the port once it listens.
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { FreezerFile } from '../../src/serve/freezer-file.ts';
import { FreezerServer } from '../../src/serve/freezer-server.ts';

const [folder = '', port = '0'] = process.argv.slice(2);
const file = FreezerFile.open(folder);
if (!file.ok) throw new Error(file.problems[0]!.message);
const http = createServer();
const server = new FreezerServer(http, file.value);
http.listen(Number(port), '127.0.0.1', () => {
  console.log((http.address() as AddressInfo).port);
});
process.once('SIGTERM', () => void server.close().finally(() => process.exit(0)));
