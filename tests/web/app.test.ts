import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StoreReader, StoreWriter } from '../../src/agent/store/store.js';
import type { Finding } from '../../src/checks/finding.js';
import { exitCodes, UserError } from '../../src/checks/user-error.js';
import { appOver, fakeAgent, fakeStore, nowMs, status } from './fake-store.js';
import { boot, figure, hourMs, latest, part } from './rows.js';
import { makeSampleStore, sampleNowMs } from './sample-store.js';
import { sampleStatus } from './sample-trials.js';

const paths = ['/', '/trial', '/estimate', '/speeds', '/history', '/findings'] as const;
const stopped = { error: { code: 'agent-stopped', text: 'No agent is listening at /run/x' } };
const sameOrigin = { Origin: 'http://localhost', Host: 'localhost' };

const finding: Finding = {
  id: 3,
  code: 'surface-damage-grew',
  subject: 'LK7-3310A',
  place: '',
  state: 'open',
  urgency: 'today',
  measured: 8,
  expected: 0,
  unit: 'sectors',
  source: 'common practice, no source',
  evidence: [],
  nextStep: '',
  openedBoot: 1,
  openedMonoMs: 0,
  openedWallMs: nowMs - hourMs,
  clearedBoot: null,
  clearedWallMs: null,
  clearedWhy: null,
  acknowledged: false,
  accountedFor: false,
};

async function textOf(app: ReturnType<typeof appOver>, path: string): Promise<string> {
  return (await app.request(path)).text();
}

/** Text of a page without its tags, so that sentences can be looked for. */
function words(page: string): string {
  return page
    .replace(/<[^>]*>/g, ' ')
    .replace(/\s+/g, ' ')
    .replaceAll('&quot;', '"');
}

describe('makeApp over a store with nothing in it', () => {
  it.each(paths)('%s answers with a page', async (path) => {
    const response = await appOver().request(path);
    expect(response.status).toBe(200);
    expect(await response.text()).toMatch(/^<!doctype html>/i);
  });

  it('gives a reason for every group without parts', async () => {
    const told = { ...status, emptyWhy: { drives: 'The kernel shows no disk at all' } };
    const { ask } = fakeAgent({ status: { ok: true, result: told } });
    const page = words(await textOf(appOver({ ask }), '/'));
    expect(page).toContain('The kernel shows no disk at all.');
    expect(page).toContain('None was found; the agent gave no reason.');
  });

  it('does not call anything good', async () => {
    for (const path of paths)
      expect(words(await textOf(appOver(), path))).not.toMatch(/as expected/);
  });
});

describe('makeApp and the store', () => {
  it.each([
    ['no-store', 'Store /x/store.sqlite does not exist', 'Start the agent first'],
    [
      'store-newer',
      'Store /x/store.sqlite is of version 9, this program knows 1',
      'Use the newer program',
    ],
  ])('words %s with status 503 on pages and in JSON', async (code, text, hint) => {
    const app = appOver({
      openStore: () => new UserError(code, text, { exitCode: exitCodes.badInput, hint }),
    });
    for (const path of [...paths, '/part/x']) {
      const response = await app.request(path);
      expect(response.status).toBe(503);
      expect(words(await response.text())).toContain(`${text}. ${hint}.`.replaceAll('. ', '. '));
    }
    const json = await app.request('/api/series/x/temperature');
    expect(json.status).toBe(503);
    expect(await json.json()).toEqual({ error: { code, text, hint } });
  });

  it('words a store that fails in the middle of a page', async () => {
    const gone = () => {
      throw new UserError('store-gone', 'Store /x was replaced', {
        exitCode: exitCodes.interrupted,
      });
    };
    const response = await appOver({ openStore: () => fakeStore({ boots: gone }) }).request(
      '/history',
    );
    expect(response.status).toBe(503);
    expect(words(await response.text())).toContain('Store /x was replaced.');
  });
});

describe('makeApp and the agent', () => {
  it.each(paths)('%s says that the agent stopped', async (path) => {
    const { ask } = fakeAgent({ status: stopped });
    const response = await appOver({ ask }).request(path);
    expect(response.status).toBe(200);
    expect(words(await response.text())).toContain(
      'Agent stopped. No agent is listening at /run/x.',
    );
  });

  it('does not believe a status of another shape', async () => {
    const { ask } = fakeAgent({ status: { ok: true, result: { running: 'none' } } });
    expect(words(await textOf(appOver({ ask }), '/'))).toContain('does not understand');
  });

  it('answers whether it is safe to switch off, whatever happens', async () => {
    expect(words(await textOf(appOver(), '/'))).toContain('Safe to switch off? Yes');
    const { ask } = fakeAgent({ status: stopped });
    expect(words(await textOf(appOver({ ask }), '/'))).toContain('Safe to switch off? Cannot tell');
    const alive = await appOver({ ask }).request('/api/alive');
    expect(await alive.json()).toMatchObject({ agent: 'stopped', answer: 'cannot-tell' });
  });

  it('passes on the closed requests and goes back to the page', async () => {
    const { ask, asked } = fakeAgent();
    const app = appOver({ ask });
    const sent = [
      ['/findings/3/acknowledge', { request: 'acknowledge', finding: 3 }],
      ['/findings/3/account-for', { request: 'account-for', finding: 3 }],
      ['/trial/2/pause', { request: 'pause', run: 2 }],
      ['/trial/2/resume', { request: 'resume', run: 2 }],
      ['/trial/2/stop', { request: 'stop', run: 2 }],
    ] as const;
    for (const [path, request] of sent) {
      const response = await app.request(path, { method: 'POST', headers: sameOrigin });
      expect(response.status).toBe(303);
      expect(asked.at(-1)).toEqual(request);
    }
  });

  it.each([
    '/trial/2/burn-in-start',
    '/trial/x/pause',
    '/findings/0/acknowledge',
    '/findings/1/blink',
  ])('asks nothing for %s', async (path) => {
    const { ask, asked } = fakeAgent();
    const response = await appOver({ ask }).request(path, { method: 'POST', headers: sameOrigin });
    expect(response.status).toBe(404);
    expect(asked.filter(({ request }) => request !== 'status')).toEqual([]);
  });

  it('shows what the agent refused and why', async () => {
    const { ask } = fakeAgent({
      pause: {
        error: { code: 'no-such-run', text: 'There is no run 2', hint: 'See burn-in list' },
      },
    });
    const response = await appOver({ ask }).request('/trial/2/pause', {
      method: 'POST',
      headers: sameOrigin,
    });
    expect(response.status).toBe(409);
    expect(words(await response.text())).toContain('There is no run 2. See burn-in list.');
  });
});

describe('makeApp guards', () => {
  it('sends a strict policy with every answer, also with refusals', async () => {
    for (const path of ['/', '/nowhere', '/api/alive', '/assets/page.js']) {
      const { headers } = await appOver().request(path);
      const policy = headers.get('content-security-policy') ?? '';
      expect(policy).toContain("default-src 'none'");
      expect(policy).toContain("script-src 'self'");
      expect(policy).not.toContain('unsafe');
      expect(headers.get('x-content-type-options')).toBe('nosniff');
    }
    const refused = await appOver().request('/', { headers: { Host: 'evil.example' } });
    expect(refused.headers.get('content-security-policy')).toContain("default-src 'none'");
  });

  it.each(['localhost', 'localhost:7420', '127.0.0.1:7420', '[::1]:7420', 'LOCALHOST'])(
    'answers as %s',
    async (host) => {
      expect((await appOver().request('/', { headers: { Host: host } })).status).toBe(200);
    },
  );

  it.each([
    'evil.example',
    'evil.example:7420',
    'localhost.evil.example',
    '127.0.0.1.evil.example',
    '192.168.1.9',
  ])('does not answer as %s', async (host) => {
    const response = await appOver().request('/', { headers: { Host: host } });
    expect(response.status).toBe(421);
    expect(await response.text()).not.toContain('<html');
  });

  it('answers under a configured name', async () => {
    const app = appOver({ hostNames: ['archive-box.lan'] });
    expect((await app.request('/', { headers: { Host: 'archive-box.lan:7420' } })).status).toBe(
      200,
    );
  });

  it.each([
    ['no origin at all', { Host: 'localhost' }],
    ['another site', { Host: 'localhost', Origin: 'http://evil.example' }],
    ['another port', { Host: 'localhost:7420', Origin: 'http://localhost:8000' }],
    ['an opaque origin', { Host: 'localhost', Origin: 'null' }],
    ['a browser that says cross-site', { ...sameOrigin, 'Sec-Fetch-Site': 'cross-site' }],
    ['a browser that says same-site', { Host: 'localhost', 'Sec-Fetch-Site': 'same-site' }],
  ])('refuses to change anything for %s', async (_name, headers) => {
    const { ask, asked } = fakeAgent();
    const response = await appOver({ ask }).request('/trial/2/stop', { method: 'POST', headers });
    expect(response.status).toBe(403);
    expect(asked).toEqual([]);
  });

  it('refuses large bodies', async () => {
    const response = await appOver().request('/trial/2/stop', {
      method: 'POST',
      headers: { ...sameOrigin, 'Content-Length': '70000' },
      body: 'x'.repeat(70_000),
    });
    expect(response.status).toBe(413);
  });

  it('serves no file but its own two', async () => {
    for (const path of [
      '/assets/..%2f..%2fpackage.json',
      '/assets/constructor',
      '/assets/page.ts',
    ]) {
      expect((await appOver({ assets: 'src/web' }).request(path)).status).toBe(404);
    }
  });

  it('shows foreign text as text', async () => {
    const hostile = `<script>alert(1)</script>"'><img src=x onerror=alert(1)>`;
    const drive = part({
      name: hostile,
      label: hostile,
      details: {
        serial: hostile,
        firmware: hostile,
        controller: hostile,
        notVisibleWhy: hostile,
        port: hostile,
      },
    });
    const store: StoreReader = fakeStore({
      parts: () => [drive],
      boots: () => [boot(1, nowMs - hourMs, hourMs)],
      latest: () => [
        latest('temperature', 3, { source: hostile, place: hostile, text: hostile }),
        latest(hostile, null, { text: hostile }),
      ],
      findings: () => [
        {
          ...finding,
          subject: hostile,
          code: hostile,
          source: hostile,
          nextStep: hostile,
          evidence: [{ label: hostile, value: 1, unit: 'count', boot: 1, monoMs: 0 }],
        },
      ],
      speeds: () => [],
      burnIns: () => [
        {
          run: 1,
          partId: 1,
          drive: hostile,
          erases: true,
          state: 'finished',
          started: { boot: 1, monoMs: 0, wallMs: nowMs },
          updated: { boot: 1, monoMs: 0, wallMs: nowMs },
          seed: '',
          plan: {},
          verdict: {
            advice: 'return',
            reasons: [{ code: hostile, measured: 1, expected: 0, source: hostile }],
            proven: [hostile],
            notProven: [hostile],
            skipped: [hostile],
          },
        },
      ],
    });
    const told = {
      ...status,
      limits: [hostile],
      inventoryRemarks: [hostile],
      modelFile: hostile,
      version: hostile,
    };
    const { ask } = fakeAgent({ status: { ok: true, result: told } });
    const app = appOver({ openStore: () => store, ask, banner: hostile });
    for (const path of [...paths, `/part/${encodeURIComponent(hostile)}`]) {
      const response = await app.request(path);
      const page = await response.text();
      expect(response.status).toBe(200);
      expect(page).toContain('&lt;script&gt;alert(1)');
      expect(page).not.toContain('<script>alert');
      expect(page).not.toContain('<img');
    }
  });
});

describe('makeApp with hostile addresses', () => {
  const store = fakeStore({
    parts: () => [part()],
    boots: () => [boot(1, nowMs - hourMs, hourMs)],
    series: () => [
      { id: 1, partId: 1, metric: 'temperature', place: '', unit: 'celsius', source: 's' },
    ],
    readings: () => [figure(1, 0, 20)],
  });
  const app = appOver({ openStore: () => store });

  it.each([
    ['/part/unknown', 404],
    ['/part/%00', 404],
    [`/part/${'x'.repeat(500)}`, 404],
    ['/part/..%2f..%2fetc%2fpasswd', 404],
    ['/nowhere', 404],
    ['/history?sheet=-1', 200],
    ['/history?sheet=1e9', 200],
    ['/part/LK7-3310A?days=0', 200],
    ['/api/series/LK7-3310A/temperature', 200],
    ['/api/series/LK7-3310A/temperature?days=0', 400],
    ['/api/series/LK7-3310A/temperature?days=99999', 400],
    ['/api/series/LK7-3310A/temperature?days=1.5', 400],
    ['/api/series/LK7-3310A/temperature?days=30%27%20OR%201', 400],
    ['/api/series/LK7-3310A/temperature?place=elsewhere', 404],
    ['/api/series/unknown/temperature', 404],
    ['/api/speed/unknown', 404],
    ['/api/speed/LK7-3310A', 404],
    ['/trial/2/pause', 404],
  ])('%s gives %i', async (path, expected) => {
    expect((await app.request(path)).status).toBe(expected);
  });

  it('limits the points of an answer', async () => {
    const rows = Array.from({ length: 50_000 }, (_, index) => figure(1, index * 60, index % 7));
    const big = fakeStore({ ...store, readings: () => rows });
    const response = await appOver({ openStore: () => big }).request(
      '/api/series/LK7-3310A/temperature',
    );
    const { x } = (await response.json()) as { x: number[] };
    expect(x.length).toBeLessThanOrEqual(3000);
    expect(x.length).toBeGreaterThan(1000);
  });
});

describe('makeApp over the sample box', () => {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-web-'));
  let writer: StoreWriter;
  let app: ReturnType<typeof appOver>;

  beforeAll(() => {
    const sample = makeSampleStore(join(folder, 'store.sqlite'));
    writer = sample.writer;
    const { ask } = fakeAgent({
      status: { ok: true, result: sampleStatus(sample.boot, sampleNowMs) },
    });
    app = appOver({
      openStore: () => writer,
      ask,
      clock: { wallMs: () => sampleNowMs },
      banner: 'All data on this page is invented.',
    });
  }, 120_000);

  afterAll(() => {
    writer.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it.each([...paths, '/part/LK7-3311C'])('%s carries the banner', async (path) => {
    expect(words(await textOf(app, path))).toContain('All data on this page is invented.');
  });

  it('lists every part once, with its sentence and the age of its newest reading', async () => {
    const page = words(await textOf(app, '/'));
    for (const name of ['310A', '311C', '402F', '0093', '7120', '5561']) {
      expect(page.split(`· ${name}`).length, name).toBeGreaterThan(1);
    }
    expect(page).toContain(
      'reallocated sectors (5): 44, 44 more since 12 January 2026, first seen at 0',
    );
    expect(page).toContain('Asleep · no damage in 3 counters');
    expect(page).toContain('Not visible: the USB bridge passes no health records on.');
    expect(page).toContain('9 min ago');
  });

  it('puts the most urgent finding first', async () => {
    const page = words(await textOf(app, '/'));
    expect(page.indexOf('Surface damage grew')).toBeLessThan(page.indexOf('The drive is too warm'));
    expect(page.indexOf('The drive is too warm')).toBeLessThan(page.indexOf('Fewer lanes'));
    expect(page).not.toContain('reads slower');
  });

  it('shows an opened and a cleared finding with evidence and next step', async () => {
    const page = words(await textOf(app, '/findings'));
    expect(page).toMatch(/Next step: Copy off first/);
    expect(page).toContain('Reallocated sectors (5), now');
    expect(page).toContain('12 March 2026');
    expect(page).toMatch(/Cleared .*The drive reads slower than it should/);
  });

  it('shows readings with growth, state and source, and a sleeping drive as asleep', async () => {
    const ailing = words(await textOf(app, '/part/LK7-3311C'));
    expect(ailing).toMatch(
      /Reallocated sectors \(5\) 44 44 more since 12 January 2026, first seen at 0 measured 9 min ago SMART data/,
    );
    const asleep = words(await textOf(app, '/part/LK7-4402F'));
    expect(asleep).toMatch(
      /Temperature \(194\) – asleep 9 min ago The drive sleeps and was not woken/,
    );
  });

  it('says of each check how it stands', async () => {
    const page = words(await textOf(app, '/part/LK7-4402F'));
    expect(page).toMatch(/No record of damaged sectors has grown.* as expected/);
    expect(page).toMatch(/temperature limit cannot tell: The newest reading is "asleep"/);
  });

  it('gives the temperature of a drive in columns with the nights as gaps', async () => {
    const response = await app.request('/api/series/LK7-3311C/temperature?days=7');
    const answer = (await response.json()) as {
      x: number[];
      y: (number | null)[];
      gaps: { why: string }[];
    };
    expect(answer.x.length).toBe(answer.y.length);
    expect(answer.y.filter((value) => value === null).length).toBe(answer.gaps.length);
    expect(answer.gaps.every(({ why }) => why === 'box off')).toBe(true);
    expect(answer.gaps.length).toBeGreaterThanOrEqual(5);
    expect(answer.y.at(-1)).toBe(37);
  });

  it('gives speed by position of the newest run and the one before', async () => {
    const response = await app.request('/api/speed/LK7-3310A');
    const answer = (await response.json()) as { x: number[]; newest: number[]; earlier: number[] };
    expect(answer.x.length).toBe(16);
    expect(answer.newest[0]).toBeCloseTo(196e6 * 0.97, 0);
    expect(answer.earlier[0]).toBeCloseTo(196e6, 0);
  });

  it('shows a running burn-in with its stages, errors by kind and progress', async () => {
    const page = words(await textOf(app, '/trial'));
    expect(page).toContain('Writing every sector now');
    expect(page).toContain('2 sectors could not be read');
    expect(page).toContain('1 sector did not answer in time');
    expect(page).toContain('46 %');
    const progress = await (await app.request('/api/trials')).json();
    expect(progress).toMatchObject({ agent: 'answers', running: [{ run: 2, state: 'running' }] });
  });

  it('shows a verdict with what is proven, not proven and skipped', async () => {
    const page = words(await textOf(app, '/trial'));
    expect(page).toMatch(/Keep, check again .*Proven .*Not proven .*Skipped Writing and comparing/);
  });

  it('tells box off from a stopped agent in the history', async () => {
    const page = words(await textOf(app, '/history'));
    expect(page).toContain('Box off for 1 d 21 h');
    expect(page.split('On, agent stopped').length - 1).toBe(1);
    expect(page).toMatch(/On, agent stopped for 1 h 10 min/);
  });
});
