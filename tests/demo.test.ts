import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { expect, test } from 'vitest';

/** What the demo printed until this line came; it must come within two minutes. */
function printedUntil(child: ChildProcess, line: RegExp): Promise<string> {
  let printed = '';
  return new Promise((resolve, reject) => {
    child.stdout?.on('data', (chunk: Buffer) => {
      printed += chunk.toString('utf8');
      if (line.test(printed)) resolve(printed);
    });
    child.on('exit', (code) => reject(new Error(`The demo ended with ${code}:\n${printed}`)));
  });
}

function endOf(child: ChildProcess): Promise<number | null> {
  return new Promise((resolve) => child.once('exit', resolve));
}

test('the demo lives a few days, says on every page that it is invented, and leaves nothing', async () => {
  const args = ['dist/tests/demo.js', '--days', '3', '--port', '0'];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  try {
    const printed = await printedUntil(child, /Ctrl-C/);
    const [address = ''] = /http:\/\/127\.0\.0\.1:\d+/.exec(printed) ?? [];
    for (const path of ['/', '/trial', '/speeds', '/history', '/findings', '/part/TB50031187']) {
      const page = await (await fetch(`${address}${path}`)).text();
      expect(page, path).toContain('Everything on this page is invented');
    }
    const trial = await (await fetch(`${address}/trial`)).text();
    expect(trial).toContain('Reading every sector');
    expect(trial).toContain('running');
    const [folder = ''] = /\/\S*bayward-demo-\w+/.exec(printed) ?? [];
    expect(existsSync(folder)).toBe(true);
    child.kill('SIGINT');
    expect(await endOf(child)).toBe(0);
    expect(existsSync(folder)).toBe(false);
  } finally {
    child.kill('SIGKILL');
  }
}, 120_000);

test('a port that is none is refused before anything is lived', async () => {
  const child = spawn(process.execPath, ['dist/tests/demo.js', '--port', 'seven'], {
    stdio: 'ignore',
  });
  expect(await endOf(child)).toBe(2);
}, 20_000);
