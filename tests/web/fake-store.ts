import type { StoreReader } from '../../src/agent/store/store.js';
import type { AgentReply, AgentRequest } from '../../src/checks/request.js';
import { makeApp } from '../../src/web/app.js';
import type { WebParts } from '../../src/web/page-facts.js';

export const nowMs = Date.UTC(2026, 2, 12, 20, 10);

/** A store that holds nothing but what a test puts into it. */
export function fakeStore(own: Partial<StoreReader> = {}): StoreReader {
  const parts = own.parts ?? (() => []);
  return {
    writerPresent: true,
    boots: () => [],
    parts,
    partByName: (name) => parts().find((part) => part.name === name) ?? null,
    latest: () => [],
    series: () => [],
    readings: () => [],
    findings: () => [],
    speeds: () => [],
    burnIns: () => [],
    journal: () => [],
    rawPages: () => [],
    newestPages: () => [],
    jobs: () => [],
    events: () => [],
    logReadTo: () => -1,
    controllerLog: () => null,
    close: () => undefined,
    ...own,
  };
}

export const status = {
  version: '0.1.0',
  processId: 1,
  boot: 7,
  bootMs: 3_600_000,
  wallMs: nowMs,
  running: [],
  limits: [],
  inventoryRemarks: [],
  modelFile: null,
};

/** An agent that answers its status and takes every other request, and what it was asked. */
export function fakeAgent(replies: Partial<Record<AgentRequest['request'], AgentReply>> = {}) {
  const asked: AgentRequest[] = [];
  const ask = (request: AgentRequest): Promise<AgentReply> => {
    asked.push(request);
    const usual: AgentReply =
      request.request === 'status' ? { ok: true, result: status } : { ok: true };
    return Promise.resolve(replies[request.request] ?? usual);
  };
  return { asked, ask };
}

export function appOver(own: Partial<WebParts> = {}) {
  return makeApp({
    openStore: () => fakeStore(),
    clock: { wallMs: () => nowMs },
    ask: fakeAgent().ask,
    banner: null,
    assets: '/nonexistent',
    ...own,
  });
}
