import type { Context } from 'hono';
import type { ContentfulStatusCode } from 'hono/utils/http-status';
import type { AgentRequest } from '../../checks/request.js';
import { viewAgent } from '../agent-view.js';
import { answerProblem, factsOf } from '../answer.js';
import type { WebParts } from '../page-facts.js';

export interface Errand {
  /** Null when the address names nothing that can be asked for. */
  readonly request: AgentRequest | null;
  readonly returnTo: string;
}

/** Sends one closed request to the agent; then back to the page, or a page with the refusal. */
export async function requestAndReturn(
  context: Context,
  parts: WebParts,
  { request, returnTo }: Errand,
): Promise<Response> {
  if (request === null)
    return refuse(context, parts, { code: 'not-found', text: 'There is no such thing to ask for' });
  const reply = await parts.ask(request);
  if ('error' in reply) return refuse(context, parts, reply.error);
  return context.redirect(returnTo, 303);
}

async function refuse(
  context: Context,
  parts: WebParts,
  error: { readonly code: string; readonly text: string; readonly hint?: string },
): Promise<Response> {
  const facts = factsOf(parts, await viewAgent(parts.ask));
  const problem = { title: 'The agent did not do it', text: error.text, hint: error.hint ?? null };
  return answerProblem(context, facts, { status: statusOf(error.code), problem });
}

function statusOf(code: string): ContentfulStatusCode {
  if (code === 'not-found') return 404;
  const away = ['agent-stopped', 'agent-silent', 'agent-unclear', 'no-privilege'];
  return away.includes(code) ? 503 : 409;
}
