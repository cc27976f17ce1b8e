/**
 * Shows the whole product on a simulated box, for people who want to look before they install it:
 * the agent has lived through ninety invented days, and goes on. Everything is made up and said to
 * be on each page; store, model and socket lie in a folder of their own that is removed at the end.
 */
import { appendFileSync, copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { createAdaptorServer } from '@hono/node-server';
import { openControl } from '../src/agent/control.js';
import { askAgent } from '../src/agent/control-client.js';
import { programFolder, readPartClasses } from '../src/agent/part-classes.js';
import { makeApp } from '../src/web/app.js';
import { modelDoor } from '../src/web/model-door.js';
import { dayMs } from './sim/archive-life.js';
import { tellStory } from './sim/archive-story.js';
import type { AgentRun } from './sim/run-agent.js';
import { storyModel } from './sim/story-trials.js';

const banner =
  'Everything on this page is invented: a simulated box of an oral-history archive’s reading room.';

const { port, days } = optionsOf(process.argv.slice(2));
const folder = mkdtempSync(join(tmpdir(), 'bayward-demo-'));
const socketFile = join(folder, 'agent.sock');
const modelFile = join(folder, 'box.toml');
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
  process.on(signal, () => process.exit(0));
}

const endsWallMs = Date.now();
copyFileSync(join(programFolder(), 'tests/box/archive-model.toml'), modelFile);
appendFileSync(modelFile, `\n${storyModel(endsWallMs)}`);

console.log(`Living through ${days} invented days; this takes about half a minute.`);
const run = await tellStory({
  folder,
  modelFile,
  endsWallMs,
  seed: 7,
  days,
  onDay: (day) => {
    if (day % 15 < 1) console.log(`  day ${day}`);
  },
});
await openControl({ socketFile, group: null, handle: run.handle });
const server = await serve(run);
console.log(`Page: http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
console.log(
  `For commands: npm run -s bayward -- status --socket ${socketFile} --store ${run.storeFile}`,
);
console.log('All of it is invented. Ctrl-C ends it and leaves nothing behind.');
await run.pass(365 * dayMs);

function optionsOf(args: string[]): { port: number; days: number } {
  try {
    const text = { type: 'string' } as const;
    const options = { port: { ...text, default: '7420' }, days: { ...text, default: '90' } };
    const { values } = parseArgs({ args, options });
    return { port: wholeOf(values.port, 65_535), days: wholeOf(values.days, 365) };
  } catch (error) {
    console.error(`${String(error)}\nOptions: --port NUMBER, --days NUMBER`);
    process.exit(2);
  }
}

function wholeOf(text: string, most: number): number {
  const found = Number(text);
  if (/^\d+$/.test(text) && found <= most) return found;
  throw new RangeError(`Expected a number from 0 to ${most}, found "${text}"`);
}

/**
 * Agent and page share this process, so that nothing has to give up rights that the other needs.
 */
function serve({ store, box }: AgentRun): Promise<Server> {
  const app = makeApp({
    openStore: () => store,
    clock: box.clock,
    ask: (request) => askAgent(socketFile, request),
    banner,
    assets: join(programFolder(), 'dist/src/web/assets'),
    model: modelDoor(modelFile),
    classes: readPartClasses(),
  });
  const listener = createAdaptorServer({ fetch: app.fetch }) as Server;
  return new Promise((resolve, reject) => {
    listener.once('error', reject);
    listener.listen(port, '127.0.0.1', () => resolve(listener));
  });
}
