/**
 * Runs inside the emulated machine: does what the host asks over a virtio port, and answers. It
 * knows nothing of the product, and imports nothing but Node's own modules (types are erased).
 */
import { spawn } from 'node:child_process';
import { createReadStream, openSync, readdirSync, readFileSync, writeSync } from 'node:fs';
import { createInterface } from 'node:readline';
import type { GuestEnd, GuestReply, GuestRequest } from './guest-messages.js';

const portsFolder = '/sys/class/virtio-ports';
const channel = 'bayward.lab';

function openChannel(): number {
  for (const port of readdirSync(portsFolder)) {
    const name = readFileSync(`${portsFolder}/${port}/name`, 'utf8').trim();
    if (name === channel) return openSync(`/dev/${port}`, 'r+');
  }
  throw new Error(`No virtio port is called ${channel}`);
}

function run(request: Extract<GuestRequest, { kind: 'run' }>): Promise<GuestEnd> {
  const [program = '', ...words] = request.argv;
  const started = performance.now();
  return new Promise((resolve, reject) => {
    const child = spawn(program, words, { stdio: 'pipe' });
    const deadline = setTimeout(() => child.kill('SIGKILL'), request.deadlineMs);
    const heard = { printed: '', complaints: '' };
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      heard.printed += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      heard.complaints += text;
    });
    child.stdin.on('error', () => undefined);
    child.stdin.end(request.input);
    child.on('error', reject);
    child.on('close', (status, signal) => {
      clearTimeout(deadline);
      resolve({ status, signal, ...heard, tookMs: Math.round(performance.now() - started) });
    });
  });
}

function start(request: Extract<GuestRequest, { kind: 'start' }>): number {
  const [program = '', ...words] = request.argv;
  const log = openSync(request.logFile, 'a');
  const child = spawn(program, words, { stdio: ['ignore', log, log], detached: true });
  child.on('error', (error) => writeSync(log, `${error.message}\n`));
  return child.pid ?? -1;
}

async function answer(request: GuestRequest): Promise<GuestReply> {
  const { id } = request;
  try {
    if (request.kind === 'run') return { id, end: await run(request) };
    if (request.kind === 'start') return { id, pid: start(request) };
    process.kill(request.pid, request.signal as NodeJS.Signals);
    return { id, pid: request.pid };
  } catch (error) {
    return { id, error: error instanceof Error ? error.message : String(error) };
  }
}

const port = openChannel();

function send(line: object): void {
  const bytes = Buffer.from(`${JSON.stringify(line)}\n`);
  for (let done = 0; done < bytes.length; ) done += writeSync(port, bytes, done);
}

const lines = createInterface({ input: createReadStream('', { fd: port, autoClose: false }) });
lines.on('line', (line) => {
  answer(JSON.parse(line) as GuestRequest).then(send, (error) => send({ id: -1, error }));
});
send({ id: 0, pid: process.pid });
