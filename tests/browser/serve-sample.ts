// The real pages over the sample store, on a port of their own, with freshly bundled assets.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createAdaptorServer } from '@hono/node-server';
import { build } from 'esbuild';
import { parseClasses } from '../../src/checks/model/classes.js';
import { parseModel } from '../../src/checks/model/parse.js';
import type { AgentReply } from '../../src/checks/request.js';
import { makeApp } from '../../src/web/app.js';
import { makeSampleStore, sampleNowMs } from '../web/sample-store.js';
import { sampleStatus } from '../web/sample-trials.js';

export interface SampleSite {
  readonly address: string;
  /** Makes the agent answer or not from now on. */
  setAgent(answers: boolean): void;
  /** How far the running burn-in is from now on; null: as the sample has it. */
  setDoneBytes(doneBytes: number | null): void;
  close(): Promise<void>;
}

export async function serveSample(): Promise<SampleSite> {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-pages-'));
  await bundle(folder);
  const { writer, boot } = makeSampleStore(join(folder, 'store.sqlite'));
  const stopped: AgentReply = { error: { code: 'agent-stopped', text: 'No agent is listening' } };
  let answers = true;
  let doneBytes: number | null = null;
  const status = () => {
    const told = sampleStatus(boot, sampleNowMs);
    if (doneBytes === null) return told;
    const done = doneBytes;
    return { ...told, running: told.running.map((work) => ({ ...work, doneBytes: done })) };
  };
  const classes = parseClasses(readFileSync('config/part-classes.toml', 'utf8'));
  const model = parseModel(readFileSync('config/box.example.toml', 'utf8'), 'box.example.toml');
  const app = makeApp({
    openStore: () => writer,
    clock: { wallMs: () => sampleNowMs },
    ask: async () => (answers ? { ok: true, result: status() } : stopped),
    banner: 'All data on this page is invented: an oral-history archive that does not exist.',
    assets: folder,
    classes: 'classes' in classes ? classes.classes : [],
    model: () => ('model' in model ? model.model : null),
  });
  const server = createAdaptorServer({ fetch: app.fetch }) as Server;
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  return {
    address: `http://127.0.0.1:${port}`,
    setAgent: (next) => {
      answers = next;
    },
    setDoneBytes: (next) => {
      doneBytes = next;
    },
    close: async () => {
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      });
      writer.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function bundle(folder: string): Promise<void> {
  await build({
    entryPoints: { page: 'src/web/browser/main.ts', style: 'src/web/browser/style.css' },
    bundle: true,
    minify: true,
    format: 'esm',
    target: 'es2022',
    outdir: folder,
    logLevel: 'warning',
  });
}
