import { existsSync, mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  drawnCharts,
  faintTexts,
  focused,
  focusVisible,
  overflowing,
  smallestButton,
} from './page-checks.js';
import { type SampleSite, serveSample } from './serve-sample.js';

const executablePath = '/usr/bin/chromium';
const found = existsSync(executablePath);
if (!found) {
  if (process.env.CI)
    throw new Error(`No browser at ${executablePath}, and in CI it must be there`);
  console.log(`skipped: the pages in a browser, since there is no ${executablePath}`);
}

const quiet = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

const paths = [
  '/',
  '/part/LK7-3311C',
  '/part/LK7-3310A',
  '/part/LK7-4402F',
  '/part/LK7-3310A/bytes?figure=power-on-hours',
  '/part/LK7-3310A/bytes?figure=start-stops&all=1',
  '/part/sensors-board',
  '/part/network-card-03-00-0',
  '/trial',
  '/estimate',
  '/speeds',
  '/history',
  '/findings',
  '/nowhere',
] as const;
const sizes = [
  { name: 'phone', width: 390, height: 844 },
  { name: 'desktop', width: 1280, height: 900 },
] as const;
const schemes = ['light', 'dark'] as const;
const chartsExpected: Readonly<Record<string, number>> = {
  '/part/LK7-3311C': 3,
  '/part/LK7-3310A': 2,
  '/part/LK7-4402F': 1,
  '/part/sensors-board': 3,
  '/part/network-card-03-00-0': 1,
};
const pictures = join(tmpdir(), 'bayward-pictures');

// Left out where no browser is installed, with the reason printed above; never so in CI.
describe.skipIf(!found)('pages in a browser', () => {
  let site: SampleSite;
  let browser: Browser;

  beforeAll(async () => {
    mkdirSync(pictures, { recursive: true });
    site = await serveSample();
    browser = await chromium.launch({ executablePath, args: quiet });
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    await site?.close();
  });

  async function open(path: string) {
    const page = await browser.newPage({ viewport: sizes[1] });
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error' && path !== '/nowhere') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(error.message));
    page.on('request', (request) => {
      const url = request.url();
      if (!url.startsWith(site.address) && !url.startsWith('data:'))
        complaints.push(`asked ${url}`);
    });
    await page.goto(site.address + path);
    await waitForCharts(page, chartsExpected[path] ?? 0);
    return { page, complaints };
  }

  for (const path of paths) {
    it(`${path} on phone and desktop, light and dark`, async () => {
      const { page, complaints } = await open(path);
      expect(await page.locator('h1').count()).toBe(1);
      for (const size of sizes) {
        for (const scheme of schemes) {
          await page.setViewportSize(size);
          await page.emulateMedia({ colorScheme: scheme, reducedMotion: 'reduce' });
          await waitForCharts(page, chartsExpected[path] ?? 0);
          const where = `${size.name}, ${scheme}`;
          expect(await page.evaluate(overflowing), where).toEqual([]);
          expect(await page.evaluate(faintTexts), where).toEqual([]);
          const name = `${path.slice(1).replaceAll(/[/?&=]/g, '-') || 'box'}-${size.name}-${scheme}.png`;
          await page.screenshot({ path: join(pictures, name), fullPage: true });
        }
      }
      expect(complaints).toEqual([]);
      await page.close();
    }, 60_000);
  }

  async function waitForCharts(page: Page, count: number): Promise<void> {
    await expect.poll(() => page.evaluate(drawnCharts), { timeout: 15_000 }).toBe(count);
  }

  it('is reached and left by keyboard: skip link, pages, content', async () => {
    const { page } = await open('/');
    await page.keyboard.press('Tab');
    expect(await page.evaluate(focused)).toBe('A #content');
    expect(await page.evaluate(focusVisible)).toBe(true);
    const reached: unknown[] = [];
    for (let press = 0; press < 7; press += 1) {
      await page.keyboard.press('Tab');
      reached.push(await page.evaluate(focused));
      expect(await page.evaluate(focusVisible)).toBe(true);
    }
    expect(reached).toEqual([
      'A /',
      'A /',
      'A /trial',
      'A /estimate',
      'A /speeds',
      'A /history',
      'A /findings',
    ]);
    await page.close();
  }, 60_000);

  it('tells the figures of a chart by arrow keys', async () => {
    const { page } = await open('/part/LK7-3311C');
    await page.locator('.chart-place').first().focus();
    await page.keyboard.press('End');
    const words = page.locator('.chart-words').first();
    expect(await words.textContent()).toMatch(/12 March 2026.*: \d+ °C$/);
    const atEnd = await words.textContent();
    await page.keyboard.press('ArrowLeft');
    expect(await words.textContent()).not.toBe(atEnd);
    await page.close();
  }, 60_000);

  it('moves the bar of a running burn-in while the page stays open', async () => {
    const { page } = await open('/trial');
    const words = page.locator('.progress-words').first();
    expect(await words.textContent()).toContain('46 %');
    await page.locator('summary').first().focus();
    site.setDoneBytes(18_000_000_000_000);
    await expect.poll(() => words.textContent(), { timeout: 20_000 }).toContain('74 %');
    expect(await page.evaluate("document.querySelector('progress').value")).toBeCloseTo(0.75, 2);
    expect(await page.evaluate(focused)).toContain('SUMMARY');
    site.setDoneBytes(null);
    await page.close();
  }, 60_000);

  it('unfolds the evidence that a link leads to', async () => {
    const { page } = await open('/');
    await page.locator('.finding a[href^="/findings#"]').first().click();
    await page.locator('details[open] table').waitFor();
    expect(await page.locator('details[open]').count()).toBe(1);
    await page.close();
  }, 60_000);

  it('has buttons that a thumb can hit', async () => {
    const { page } = await open('/trial');
    await page.setViewportSize(sizes[0]);
    expect(await page.evaluate(smallestButton)).toBeGreaterThanOrEqual(44);
    await page.close();
  }, 60_000);

  it('works without script', async () => {
    const context = await browser.newContext({ javaScriptEnabled: false });
    const page = await context.newPage();
    await page.goto(`${site.address}/part/LK7-3310A`);
    expect(await page.locator('main').textContent()).toContain('Power-on hours');
    expect(await page.locator('figure a').first().getAttribute('href')).toContain('/api/series/');
    await context.close();
  }, 60_000);

  it('says by itself that the agent stopped, and that it came back', async () => {
    const { page } = await open('/');
    const notice = page.locator('.notice');
    await page.waitForResponse('**/api/trials');
    site.setAgent(false);
    await notice.waitFor({ timeout: 20_000 });
    expect(await notice.textContent()).toContain('Agent stopped.');
    expect(await page.locator('.switch-off .answer').textContent()).toContain('Cannot tell');
    await page.screenshot({ path: join(pictures, 'box-stopped.png'), fullPage: true });
    site.setAgent(true);
    await notice.waitFor({ state: 'detached', timeout: 20_000 });
    await page.close();
  }, 60_000);
});
