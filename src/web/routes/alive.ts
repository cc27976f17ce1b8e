import { Hono } from 'hono';
import { UserError } from '../../checks/user-error.js';
import { viewAgent } from '../agent-view.js';
import { switchOffView } from '../box-view.js';
import type { WebParts } from '../page-facts.js';

/** Whether the agent answers, and what runs: what an open page asks again and again. */
export function aliveRoutes(parts: WebParts): Hono {
  return new Hono().get('/api/alive', async (context) => {
    const agent = await viewAgent(parts.ask);
    const opened = parts.openStore();
    const store = opened instanceof UserError ? null : opened;
    const { answer, untilMs } = switchOffView({
      agent,
      nowMs: parts.clock.wallMs(),
      store,
      parts: store?.parts() ?? [],
    });
    if (!agent.answers) return context.json({ agent: 'stopped', text: agent.text, answer });
    const { boot, bootMs, running } = agent.status;
    return context.json({ agent: 'answers', boot, bootMs, running, answer, untilMs });
  });
}
