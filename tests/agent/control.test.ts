import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Control, decodeRequest, openControl, type Peer } from '../../src/agent/control.js';
import { askAgent } from '../../src/agent/control-client.js';
import { exitCodes, UserError } from '../../src/checks/user-error.js';

let folder: string;
let socketFile: string;
let control: Control | null;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-control-'));
  socketFile = join(folder, 'run', 'agent.sock');
  control = null;
});

afterEach(async () => {
  await control?.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the local socket', () => {
  it('carries a request to the handler and its result back', async () => {
    const handle = async (request: object) => ({ heard: request });
    control = await openControl({ socketFile, group: null, handle });
    const reply = await askAgent(socketFile, { request: 'pause', run: 3 });
    expect(reply).toEqual({ ok: true, result: { heard: { request: 'pause', run: 3 } } });
  });

  it('lets nobody but the owner and its group open it', async () => {
    control = await openControl({ socketFile, group: null, handle: async () => undefined });
    expect(statSync(socketFile).mode & 0o777).toBe(0o660);
    expect(statSync(join(folder, 'run')).mode & 0o007).toBe(0);
  });

  it('tells the handler that this very user is trusted, by the kernel’s word', async () => {
    let seen: Peer | null = null;
    control = await openControl({
      socketFile,
      group: null,
      handle: async (_request, peer) => {
        seen = peer;
      },
    });
    await askAgent(socketFile, { request: 'status' });
    expect(seen).toEqual({ isTrusted: true });
  });

  it('turns a refusal of the handler into its code, hint and exit code', async () => {
    control = await openControl({
      socketFile,
      group: null,
      handle: async () => {
        throw new UserError('in-use', 'The drive is in use', {
          exitCode: exitCodes.refusedForSafety,
          hint: 'Unmount it',
        });
      },
    });
    expect(await askAgent(socketFile, { request: 'status' })).toEqual({
      error: { code: 'in-use', text: 'The drive is in use', hint: 'Unmount it', exitCode: 4 },
    });
  });

  it('refuses a second agent on the same socket', async () => {
    control = await openControl({ socketFile, group: null, handle: async () => undefined });
    const second = openControl({ socketFile, group: null, handle: async () => undefined });
    await expect(second).rejects.toMatchObject({ code: 'agent-already-running' });
  });

  it('takes over the socket file that a killed agent left', async () => {
    control = await openControl({ socketFile, group: null, handle: async () => undefined });
    await control.close();
    writeFileSync(socketFile, '');
    control = await openControl({ socketFile, group: null, handle: async () => 'here' });
    expect(await askAgent(socketFile, { request: 'status' })).toEqual({ ok: true, result: 'here' });
  });

  it('ends a connection that sends too much', async () => {
    control = await openControl({ socketFile, group: null, handle: async () => undefined });
    const answer = await new Promise<string>((resolve) => {
      const socket = connect(socketFile);
      socket.on('data', (chunk) => resolve(chunk.toString()));
      socket.on('error', () => undefined);
      socket.write('x'.repeat(70_000));
    });
    expect(JSON.parse(answer)).toEqual({
      error: { code: 'bad-request', text: 'The request is too long' },
    });
  });
});

describe('askAgent', () => {
  it('says that the agent has stopped when nobody listens', async () => {
    const reply = await askAgent(socketFile, { request: 'status' });
    expect(reply).toMatchObject({ error: { code: 'agent-stopped' } });
  });

  it('says that the agent is silent when no answer comes in time', async () => {
    const listener = createServer(() => undefined);
    const path = join(folder, 'silent.sock');
    await new Promise<void>((resolve) => listener.listen(path, resolve));
    const reply = await askAgent(path, { request: 'status' }, 50);
    expect(reply).toMatchObject({ error: { code: 'agent-silent' } });
    listener.close();
  });

  it('says so when the answer is no reply', async () => {
    const listener = createServer((socket) => socket.end('hello\n'));
    const path = join(folder, 'odd.sock');
    await new Promise<void>((resolve) => listener.listen(path, resolve));
    const reply = await askAgent(path, { request: 'status' });
    expect(reply).toMatchObject({ error: { code: 'agent-unclear' } });
    listener.close();
  });
});

describe('decodeRequest', () => {
  it.each([
    ['not json', 'The request is not JSON'],
    ['[]', 'The request is not an object'],
    ['{"request":"format"}', 'There is no request "format"'],
    ['{"request":"pause","run":"3"}', 'Field "run" is of the wrong kind'],
    ['{"request":"pause","path":"/"}', 'There is no field "path" in a request'],
    ['{"request":"status","options":{"a":{}}}', 'Field "options" is of the wrong kind'],
  ])('refuses %s', (line, text) => {
    expect(decodeRequest(line)).toEqual({ error: { code: 'bad-request', text } });
  });

  it('never throws, whatever comes', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.json()), (line) => {
        const decoded = decodeRequest(line);
        expect('error' in decoded || 'request' in decoded).toBe(true);
      }),
      { seed: 20261125, numRuns: 500 },
    );
  });
});
