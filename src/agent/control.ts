import { chmodSync, chownSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { dirname } from 'node:path';
import {
  type AgentReply,
  type AgentRequest,
  type RequestError,
  requestNames,
} from '../checks/request.js';
import { exitCodes, UserError } from '../checks/user-error.js';
import { peerUserId } from './box/ffi.js';
import { askAgent } from './control-client.js';

const requestBytesMax = 64 * 1024;
const connectionsMax = 32;

/** Who asks: true when the kernel says that it is root or the agent's own user. */
export interface Peer {
  readonly isTrusted: boolean;
}

/** Carries out one decoded request. A UserError becomes an error reply with its code and hint. */
export type RequestHandler = (request: AgentRequest, peer: Peer) => Promise<unknown>;

export interface ControlOptions {
  readonly socketFile: string;
  /** Group that may talk to the agent beside its own user, or null. */
  readonly group: number | null;
  readonly handle: RequestHandler;
}

export interface Control {
  close(): Promise<void>;
}

/** Opens the agent's local socket. A second agent on the same socket is refused. */
export async function openControl(options: ControlOptions): Promise<Control> {
  await clearStaleSocket(options.socketFile);
  prepareFolder(options);
  const connections = new Set<Socket>();
  const server = createServer((socket) => {
    connections.add(socket);
    socket.on('close', () => connections.delete(socket));
    serve(socket, options.handle);
  });
  server.maxConnections = connectionsMax;
  await listen(server, options.socketFile);
  chmodSync(options.socketFile, 0o660);
  if (options.group !== null) chownSync(options.socketFile, 0, options.group);
  return {
    close: () =>
      new Promise((resolve) => {
        for (const socket of connections) socket.destroy();
        server.close(() => resolve());
      }),
  };
}

async function clearStaleSocket(socketFile: string): Promise<void> {
  if (!existsSync(socketFile)) return;
  const reply = await askAgent(socketFile, { request: 'status' }, 2000);
  const stopped = 'error' in reply && reply.error.code === 'agent-stopped';
  if (!stopped) {
    throw new UserError('agent-already-running', `An agent already listens at ${socketFile}`, {
      exitCode: exitCodes.badInput,
      hint: 'Stop it first, or give this one its own --socket and --store',
    });
  }
  rmSync(socketFile, { force: true });
}

function prepareFolder(options: ControlOptions): void {
  const folder = dirname(options.socketFile);
  if (existsSync(folder)) return;
  mkdirSync(folder, { recursive: true, mode: 0o750 });
  if (options.group !== null) chownSync(folder, 0, options.group);
}

function listen(server: Server, socketFile: string): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(
        new UserError(
          'socket-unusable',
          `The agent's socket ${socketFile} could not be opened: ${error.code}`,
          { exitCode: exitCodes.badInput, hint: 'Give another place with --socket' },
        ),
      ),
    );
    server.listen(socketFile, resolve);
  });
}

function serve(socket: Socket, handle: RequestHandler): void {
  let received = '';
  socket.on('error', () => socket.destroy());
  socket.on('data', (chunk) => {
    received += chunk.toString('utf8');
    if (received.length > requestBytesMax) {
      socket.end(reply({ error: { code: 'bad-request', text: 'The request is too long' } }));
      return;
    }
    const lineEnd = received.indexOf('\n');
    if (lineEnd < 0) return;
    const line = received.slice(0, lineEnd);
    received = '';
    void answer(line, { handle, peer: peerOf(socket) }).then((text) => socket.end(text));
  });
}

/** Node keeps the descriptor of a socket in its handle; without one nobody is trusted. */
function peerOf(socket: Socket): Peer {
  const { _handle: handle } = socket as Socket & { _handle?: { fd?: number } };
  const user = typeof handle?.fd === 'number' && handle.fd >= 0 ? peerUserId(handle.fd) : null;
  return { isTrusted: user !== null && (user === 0 || user === process.geteuid?.()) };
}

interface Asked {
  readonly handle: RequestHandler;
  readonly peer: Peer;
}

async function answer(line: string, { handle, peer }: Asked): Promise<string> {
  const request = decodeRequest(line);
  if ('error' in request) return reply(request);
  try {
    const result = await handle(request, peer);
    return reply(result === undefined ? { ok: true } : { ok: true, result });
  } catch (error) {
    return reply({ error: describe(error) });
  }
}

function describe(error: unknown): RequestError {
  if (error instanceof UserError) {
    const { code, exitCode, hint } = error;
    return { code, text: error.message, exitCode, ...(hint === undefined ? {} : { hint }) };
  }
  const text = error instanceof Error ? error.message : String(error);
  return { code: 'internal', text: `The agent could not carry out the request: ${text}` };
}

function reply(value: AgentReply): string {
  return `${JSON.stringify(value)}\n`;
}

/** Decodes one line as foreign input: a name of the closed list, known fields, right types. */
export function decodeRequest(
  line: string,
): AgentRequest | { error: { code: string; text: string } } {
  let value: unknown;
  try {
    value = JSON.parse(line);
  } catch {
    return refuse('The request is not JSON');
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    return refuse('The request is not an object');
  }
  const fields = value as Record<string, unknown>;
  const known = requestNames.find((name) => name === fields.request);
  if (known === undefined) return refuse(`There is no request "${String(fields.request)}"`);
  for (const [key, wanted] of Object.entries(fieldTypes)) {
    if (key in fields && !wanted(fields[key])) return refuse(`Field "${key}" is of the wrong kind`);
  }
  const unknown = Object.keys(fields).find((key) => !(key in fieldTypes));
  if (unknown !== undefined) return refuse(`There is no field "${unknown}" in a request`);
  return fields as unknown as AgentRequest;
}

const isWhole = (value: unknown) => Number.isSafeInteger(value);
const isText = (value: unknown) => typeof value === 'string' && value.length <= 4096;

const fieldTypes: Readonly<Record<string, (value: unknown) => boolean>> = {
  request: isText,
  drive: isText,
  run: isWhole,
  finding: isWhole,
  options: (value) =>
    typeof value === 'object' &&
    value !== null &&
    Object.values(value).every(
      (entry) => isText(entry) || Number.isFinite(entry) || typeof entry === 'boolean',
    ),
};

function refuse(text: string): { error: { code: string; text: string } } {
  return { error: { code: 'bad-request', text } };
}
