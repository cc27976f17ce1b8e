/**
 * Shows the whole product on a simulated box, for people who want to look before they install it:
 * the agent has lived through ninety invented days, and goes on. Everything is made up and said to
 * be on each page; store and socket lie in a folder of their own that is removed at the end.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { createAdaptorServer } from '@hono/node-server';
import { decodeRequest } from '../src/agent/control.js';
import { programFolder, readPartClasses } from '../src/agent/part-classes.js';
import { makeApp } from '../src/web/app.js';
import { archiveModel, dayMs } from './sim/archive-life.js';
import { storyDays, tellStory } from './sim/archive-story.js';
import type { AgentRun } from './sim/run-agent.js';

const banner =
  'Everything on this page is invented: a simulated box of an oral-history archive’s reading room.';

const { values } = parseArgs({ options: { port: { type: 'string', default: '7420' } } });
const port = Number(values.port);
if (!Number.isInteger(port) || port < 0 || port > 65_535) {
  console.error(`Option --port expects a number from 0 to 65535, found "${values.port}".`);
  process.exit(2);
}

const folder = mkdtempSync(join(tmpdir(), 'bayward-demo-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));

console.log(`Living through ${storyDays} invented days; this takes about a minute.`);
const run = await tellStory({
  folder,
  endsWallMs: Date.now(),
  seed: 7,
  onDay: (day) => {
    if (day % 15 === 0) console.log(`  day ${day}`);
  },
});
const server = await serve(run);
console.log(`Page: http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
console.log('All of it is invented. Ctrl-C ends it and leaves nothing behind.');

process.once('SIGINT', () => process.exit(0));
process.once('SIGTERM', () => process.exit(0));
await run.pass(365 * dayMs);

function serve({ store, box, handle }: AgentRun): Promise<Server> {
  const model = archiveModel();
  const app = makeApp({
    openStore: () => store,
    clock: box.clock,
    ask: async (request) => {
      const decoded = decodeRequest(JSON.stringify(request));
      if ('error' in decoded) return decoded;
      try {
        return { ok: true, result: await handle(decoded, { isTrusted: false }) };
      } catch (error) {
        const text = error instanceof Error ? error.message : String(error);
        return { error: { code: 'refused', text } };
      }
    },
    banner,
    assets: join(programFolder(), 'dist/src/web/assets'),
    model: () => model,
    classes: readPartClasses(),
  });
  const listener = createAdaptorServer({ fetch: app.fetch }) as Server;
  return new Promise((resolve, reject) => {
    listener.once('error', reject);
    listener.listen(port, '127.0.0.1', () => resolve(listener));
  });
}
