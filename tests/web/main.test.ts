import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { prepareStoreFolder } from '../../src/agent/store/folder.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import { startWeb } from '../../src/web/main.js';
import { SampleClock } from './sample-clock.js';

const built = 'dist/src/web/main.js';
const nobody = 65_534;
const isRoot = process.geteuid?.() === 0;

describe('startWeb', () => {
  it('refuses to listen beyond this box, and says what to do', async () => {
    const options = { modelFile: '', storeFile: '', socketFile: '', port: 0, banner: null };
    for (const host of ['0.0.0.0', '::', '192.168.1.5', 'archive-box']) {
      await expect(startWeb({ ...options, host })).rejects.toMatchObject({
        code: 'passphrase-needed',
        exitCode: 4,
      });
    }
  });
});

describe('the page as a process of its own', () => {
  let folder: string;
  let child: ChildProcess;
  let address: string;
  let writer: StoreWriter | null = null;

  beforeEach(async () => {
    if (!existsSync(built)) throw new Error(`${built} is missing: run npm run build first`);
    folder = mkdtempSync(join(tmpdir(), 'bayward-web-main-'));
    // The page's own user must be able to pass through; the store's folder keeps its own mode.
    chmodSync(folder, 0o755);
    const options = {
      modelFile: join(folder, 'box.toml'),
      storeFile: join(folder, 'bayward/store.sqlite'),
      socketFile: join(folder, 'agent.sock'),
      port: 0,
      host: '127.0.0.1',
      banner: null,
    };
    const script = join(folder, 'start.mjs');
    writeFileSync(
      script,
      `import { startWeb } from ${JSON.stringify(pathToFileURL(built).href)};
const web = await startWeb(${JSON.stringify(options)});
console.log(web.address);
process.on('SIGTERM', () => void web.close());`,
    );
    child = spawn(process.execPath, [script], { stdio: ['ignore', 'pipe', 'inherit'] });
    address = await firstLine(child);
  }, 60_000);

  afterEach(async () => {
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGTERM');
    await ended;
    writer?.close();
    writer = null;
    rmSync(folder, { recursive: true, force: true });
  });

  it('has given up root for good when it answers', async () => {
    expect((await get('/')).status).toBe(503);
    const text = readFileSync(`/proc/${child.pid}/status`, 'utf8');
    const ids = (name: string) =>
      text
        .match(new RegExp(`^${name}:\\s+(.*)$`, 'm'))?.[1]
        ?.trim()
        .split(/\s+/)
        .map(Number);
    if (!isRoot) return expect(new Set(ids('Uid')).size).toBe(1);
    expect(ids('Uid')).toEqual([nobody, nobody, nobody, nobody]);
    expect(ids('Gid')).toEqual([nobody, nobody, nobody, nobody]);
    expect(ids('Groups')).toEqual([nobody]);
    expect(text).toMatch(/^CapEff:\s+0+$/m);
  }, 60_000);

  it('shows a store that is made after it started, and keeps showing it when its writer ends', async () => {
    expect((await get('/history')).body).toContain('does not exist');
    const path = join(folder, 'bayward/store.sqlite');
    prepareStoreFolder(path, isRoot ? nobody : null);
    const clock = new SampleClock();
    clock.now = { bootMs: 60_000, wallMs: Date.UTC(2026, 2, 12) };
    writer = openStore(path, clock);
    writer.beginBoot('boot-a', clock.now.wallMs);
    expect((await get('/history')).body).toContain('1 boot recorded');
    writer.beginBoot('boot-b', clock.now.wallMs + 3_600_000);
    expect((await get('/history')).body).toContain('2 boots recorded');
    writer.close();
    const after = await get('/history');
    expect(after.body).toContain('2 boots recorded');
    expect(after.body).toContain('Agent stopped.');
  }, 60_000);

  it('does not answer a request for another name', async () => {
    expect((await get('/', { Host: 'evil.example' })).status).toBe(421);
  }, 60_000);

  function get(path: string, headers: Record<string, string> = {}) {
    return new Promise<{ status: number | undefined; body: string }>((resolve, reject) => {
      request(new URL(path, address), { headers }, (response) => {
        let body = '';
        response.setEncoding('utf8');
        response.on('data', (chunk: string) => {
          body += chunk;
        });
        response.on('end', () => resolve({ status: response.statusCode, body }));
      })
        .on('error', reject)
        .end();
    });
  }
});

function firstLine(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    child.once('exit', (code) =>
      reject(new Error(`The page ended with ${code} before it answered`)),
    );
    child.stdout?.once('data', (chunk) => resolve(String(chunk).trim()));
  });
}
