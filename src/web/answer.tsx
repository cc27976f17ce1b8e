import type { Context } from 'hono';
import { HTTPException } from 'hono/http-exception';
import type { Child } from 'hono/jsx';
import type { ContentfulStatusCode } from 'hono/utils/http-status';
import type { PartRow } from '../agent/store/rows.js';
import type { StoreReader } from '../agent/store/store.js';
import { UserError } from '../checks/user-error.js';
import { type AgentView, viewAgent } from './agent-view.js';
import type { PageFacts, WebParts } from './page-facts.js';
import { withBays } from './part-name.js';
import { renderPage } from './views/layout.js';
import { type Problem, ProblemPage } from './views/problem-page.js';

/** What a page is made of when the store can be read. */
export interface Loaded {
  readonly store: StoreReader;
  /** Every part that was ever seen, drives with the bay of the model file. */
  readonly seen: readonly PartRow[];
  readonly facts: PageFacts;
}

export interface PageContent {
  readonly title: string;
  readonly current: string | null;
  readonly content: Child;
}

export type PageResult = PageContent | { readonly notFound: Problem };

export function notFound(text: string, hint: string): { readonly notFound: Problem } {
  return { notFound: { title: 'Not found', text, hint } };
}

export function factsOf(parts: WebParts, agent: AgentView): PageFacts {
  return { agent, nowMs: parts.clock.wallMs(), banner: parts.banner };
}

/** Answers with a page made from the store, or with a page that says why there is none. */
export async function answerPage(
  context: Context,
  parts: WebParts,
  make: (loaded: Loaded) => PageResult,
): Promise<Response> {
  const facts = factsOf(parts, await viewAgent(parts.ask));
  const store = parts.openStore();
  if (store instanceof UserError) {
    return answerProblem(context, facts, { status: 503, problem: problemOf(store) });
  }
  const seen = withBays(store.parts(), parts.model?.() ?? null);
  const result = make({ store, seen, facts });
  if ('notFound' in result) {
    return answerProblem(context, facts, { status: 404, problem: result.notFound });
  }
  const { title, current, content } = result;
  return context.html(renderPage({ title, current, facts, children: content }));
}

export function answerProblem(
  context: Context,
  facts: PageFacts,
  answer: { readonly status: ContentfulStatusCode; readonly problem: Problem },
): Response | Promise<Response> {
  const content = <ProblemPage problem={answer.problem} />;
  const page = renderPage({ title: answer.problem.title, current: null, facts, children: content });
  return context.html(page, answer.status);
}

/**
 * What is answered when making an answer failed. The store may be replaced or become unreadable
 * between two questions; that is worded for a person. Anything else is a fault of ours.
 */
export async function answerError(
  context: Context,
  parts: WebParts,
  error: Error,
): Promise<Response> {
  if (error instanceof HTTPException) return error.getResponse();
  const forPrograms = context.req.path.startsWith('/api/');
  if (!(error instanceof UserError)) {
    console.error(error);
    const text = 'This answer could not be made: something in Bayward itself is wrong';
    return forPrograms
      ? context.json({ error: { code: 'internal', text } }, 500)
      : context.text(`${text}; what the page’s process wrote says more\n`, 500);
  }
  if (forPrograms) return context.json({ error: errorBody(error) }, 503);
  const facts = factsOf(parts, await viewAgent(parts.ask));
  return answerProblem(context, facts, { status: 503, problem: problemOf(error) });
}

function errorBody({ code, message: text, hint }: UserError): object {
  return { code, text, ...(hint === undefined ? {} : { hint }) };
}

function problemOf(error: UserError): Problem {
  return { title: 'The store cannot be read', text: error.message, hint: error.hint ?? null };
}

/** Answers with JSON made from the store; without one, the error as the socket would word it. */
export function answerJson(
  context: Context,
  parts: WebParts,
  make: (store: StoreReader) => object | null,
): Response {
  const store = parts.openStore();
  if (store instanceof UserError) {
    return context.json({ error: errorBody(store) }, 503);
  }
  const result = make(store);
  if (result !== null) return context.json(result);
  return context.json(
    { error: { code: 'not-found', text: 'There is no such part or figure' } },
    404,
  );
}
