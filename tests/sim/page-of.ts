import { decodeRequest } from '../../src/agent/control.js';
import { readPartClasses } from '../../src/agent/part-classes.js';
import { makeApp } from '../../src/web/app.js';
import { archiveModel } from './archive-life.js';
import type { AgentRun } from './run-agent.js';

/** The text of one page as a person reads it, made by the real application on the run's store. */
export async function pageOf(run: AgentRun, path: string): Promise<string> {
  const app = makeApp({
    openStore: () => run.store,
    clock: run.box.clock,
    ask: async (request) => {
      const decoded = decodeRequest(JSON.stringify(request));
      if ('error' in decoded) return decoded;
      return { ok: true, result: await run.handle(decoded, { isTrusted: true }) };
    },
    banner: null,
    assets: 'nowhere',
    model: archiveModel,
    classes: readPartClasses(),
  });
  const answer = await app.request(`http://127.0.0.1${path}`);
  if (answer.status !== 200) throw new Error(`${path} answers with ${answer.status}`);
  return readable(await answer.text());
}

const entities: Readonly<Record<string, string>> = {
  '&#39;': "'",
  '&quot;': '"',
  '&lt;': '<',
  '&gt;': '>',
  '&amp;': '&',
};

function readable(html: string): string {
  const withoutTags = html.replace(/<[^>]*>/g, ' ');
  const decoded = withoutTags.replace(/&(#39|quot|lt|gt|amp);/g, (found) => entities[found] ?? '');
  return decoded.replace(/\s+/g, ' ');
}
