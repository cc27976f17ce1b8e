import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { createAdaptorServer } from '@hono/node-server';
import type { Hono } from 'hono';
import { askAgent } from '../agent/control-client.js';
import { loadDatabaseCode } from '../agent/store/read.js';
import { exitCodes, UserError } from '../checks/user-error.js';
import { makeApp } from './app.js';
import { dropPrivileges } from './drop-privileges.js';
import { modelDoor, readClasses } from './model-door.js';
import { storeDoor } from './store-door.js';

export interface WebOptions {
  readonly modelFile: string;
  readonly storeFile: string;
  readonly socketFile: string;
  /** 0 takes any free port. */
  readonly port: number;
  readonly host: string;
  readonly banner: string | null;
}

export interface Web {
  /** Where the page is, as a person would type it. */
  readonly address: string;
  close(): Promise<void>;
}

const loopbackHosts: readonly string[] = ['127.0.0.1', '::1', 'localhost'];
/** The compiled files lie in dist/src/web, the classes beside dist. */
const classesFile = fileURLToPath(new URL('../../../config/part-classes.toml', import.meta.url));
const askDeadlineMs = 2500;
const connectionsMax = 200;

/**
 * Loads everything, binds, and only then gives up root: the program's own files may be readable by
 * root alone. Works before the store exists and goes on when the agent stops.
 */
export async function startWeb(options: WebOptions): Promise<Web> {
  refuseOpenNetwork(options.host);
  const store = storeDoor(options.storeFile);
  const app = makeApp({
    openStore: () => store.open(),
    clock: { wallMs: () => Date.now() },
    ask: (request) => askAgent(options.socketFile, request, askDeadlineMs),
    banner: options.banner,
    assets: fileURLToPath(new URL('./assets/', import.meta.url)),
    model: modelDoor(options.modelFile),
    classes: readClasses(classesFile),
  });
  await loadEverything(app);
  const server = await bind(app, options);
  try {
    dropPrivileges();
  } catch (error) {
    server.close();
    throw error;
  }
  store.close();
  return {
    address: addressOf(server),
    close: () => closeServer(server).finally(() => store.close()),
  };
}

function refuseOpenNetwork(host: string): void {
  if (loopbackHosts.includes(host)) return;
  throw new UserError(
    'passphrase-needed',
    `The page listens on this box alone (127.0.0.1); listening on ${host} needs a passphrase, which this version cannot keep yet`,
    {
      exitCode: exitCodes.refusedForSafety,
      hint: 'Reach it from another machine through ssh: ssh -L 7420:127.0.0.1:7420 THE-BOX',
    },
  );
}

/** Asks for each kind of answer once, so that nothing is left to be read from disk later. */
async function loadEverything(app: Hono): Promise<void> {
  loadDatabaseCode();
  for (const path of ['/', '/trial', '/estimate', '/assets/page.js', '/assets/style.css']) {
    await app.request(path);
  }
}

function bind(app: Hono, options: WebOptions): Promise<Server> {
  const server = createAdaptorServer({ fetch: app.fetch }) as Server;
  server.maxConnections = connectionsMax;
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => reject(bindProblem(error, options)));
    server.listen(options.port, options.host, () => resolve(server));
  });
}

function bindProblem(error: NodeJS.ErrnoException, { host, port }: WebOptions): UserError {
  const taken = error.code === 'EADDRINUSE';
  const found = taken ? 'something else listens there' : (error.code ?? error.message);
  return new UserError('port-unusable', `The page could not listen on ${host}:${port}: ${found}`, {
    exitCode: exitCodes.badInput,
    hint: 'Give another port with --port',
  });
}

function addressOf(server: Server): string {
  const { address, family, port } = server.address() as AddressInfo;
  return `http://${family === 'IPv6' ? `[${address}]` : address}:${port}/`;
}

function closeServer(server: Server): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    server.closeAllConnections();
  });
}
