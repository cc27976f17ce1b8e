import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

/** The built program, as a person starts it. */
const program = fileURLToPath(new URL('../../dist/src/cli/main.js', import.meta.url));
const startMs = 60_000;

let folder: string;
let store: string;
let model: string;
let started: ChildProcess | null;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-start-'));
  // The page gives up root, and then must still reach the store.
  chmodSync(folder, 0o755);
  store = join(folder, 'bayward', 'store.sqlite');
  model = join(folder, 'box.toml');
  started = null;
});

afterEach(() => {
  started?.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

interface Ended {
  readonly code: number | null;
  readonly output: string;
}

/** Starts agent and page, and tells when a text was printed and how it all ended. */
function startBox(port = '0') {
  let output = '';
  const places = ['--store', store, '--config', model, '--port', port];
  const child = spawn(process.execPath, [program, 'start', ...places]);
  started = child;
  child.stdout.on('data', (chunk) => {
    output += chunk;
  });
  child.stderr.on('data', (chunk) => {
    output += chunk;
  });
  const ended = new Promise<Ended>((resolve) => {
    child.on('exit', (code) => setTimeout(() => resolve({ code, output }), 200));
  });
  const printed = async (text: string) => {
    const until = Date.now() + startMs;
    while (!output.includes(text)) {
      if (Date.now() > until || child.exitCode !== null) throw new Error(`No "${text}": ${output}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return output;
  };
  return { child, ended, printed };
}

function bayward(...words: readonly string[]) {
  const places = ['--store', store, '--config', model];
  return spawnSync(process.execPath, [program, ...words, ...places], { encoding: 'utf8' });
}

describe('bayward start', () => {
  it('serves the page, answers status, and stops cleanly when asked', async () => {
    const box = startBox();
    const output = await box.printed('Page: ').then(() => box.printed('Agent: '));
    const address = /Page: (\S+)/.exec(output)?.[1] ?? '';
    const page = await fetch(address);
    expect(page.status).toBe(200);
    expect(await page.text()).toContain('Safe to switch off?');
    const status = bayward('status', '--json');
    expect(status.status).toBe(0);
    const report = JSON.parse(status.stdout) as { agent: object; groups: { kind: string }[] };
    expect(report.agent).toMatchObject({ answers: true });
    expect(report.groups.map(({ kind }) => kind)).toContain('drive');
    box.child.kill('SIGTERM');
    const askedMs = Date.now();
    expect((await box.ended).code).toBe(0);
    expect(Date.now() - askedMs).toBeLessThan(8000);
    const after = bayward('status');
    expect(after.stdout).toContain('The agent does not answer; it last stored something');
    expect(after.status).toBe(5);
  }, 90_000);

  it('stops with every complaint when the model file is wrong, and makes no store', async () => {
    writeFileSync(model, '[[drive]]\nserial = "LK-1"\ncapacity = "8 apples"\nbuy = 3\n');
    const { code, output } = await startBox().ended;
    expect(code).toBe(2);
    expect(output).toMatch(/Line 3: .*capacity/);
    expect(output).toMatch(/Line 4: .*buy/);
    expect(existsSync(store)).toBe(false);
  }, 60_000);

  it('refuses a store of a newer version and leaves it as it is', async () => {
    mkdirSync(join(folder, 'bayward'));
    const db = new Database(store);
    db.exec('CREATE TABLE part (id INTEGER)');
    db.pragma('application_id = 0');
    db.pragma('user_version = 9999');
    db.close();
    const { code, output } = await startBox().ended;
    expect(code).toBe(2);
    expect(output).toContain(store);
    const kept = new Database(store, { readonly: true });
    expect(kept.pragma('user_version', { simple: true })).toBe(9999);
    kept.close();
  }, 60_000);

  it('says so when the port is taken', async () => {
    const taken = createServer();
    await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve));
    const { port } = taken.address() as { port: number };
    const { code, output } = await startBox(String(port)).ended;
    taken.close();
    expect(code).toBe(2);
    expect(output).toContain(`could not listen on 127.0.0.1:${port}: something else listens there`);
  }, 60_000);
});

describe('commands without an agent', () => {
  it.each([
    [['speed', 'drive', 'all'], 2, 'No agent is listening'],
    [['burn-in', 'start', 'LK-1', '--erase'], 2, 'No agent is listening'],
    [['burn-in', 'pause', 'x'], 2, 'A run is a whole number from 1 on, found "x"'],
    [['burn-in', 'format'], 2, 'expects one of plan, start'],
    [['capture', 'NOT-THERE-1'], 2, 'No drive here has the serial number "NOT-THERE-1"'],
    [['decode', '/nonexistent.json'], 2, 'could not be read: ENOENT'],
    [['measure'], 2, 'There is no command "measure"'],
    [['status', '--jsn'], 2, 'jsn'],
  ])('%s is refused in words', (words, code, text) => {
    const run = bayward(...(words as string[]));
    expect(run.stderr).toContain(text);
    expect(run.status).toBe(code);
  });

  it('prints its help', () => {
    const run = bayward('--help');
    expect(run.status).toBe(0);
    expect(run.stdout).toContain('bayward burn-in start DRIVE');
  });
});
