import { z } from 'zod';
import type { AgentReply, AgentRequest, AgentStatus } from '../checks/request.js';

/** Asks the agent; never throws, a silent or stopped agent is an error reply. */
export type Ask = (request: AgentRequest) => Promise<AgentReply>;

/** What is known about the agent at this moment. Liveness is this answer and nothing else. */
export type AgentView =
  | { readonly answers: true; readonly status: AgentStatus }
  | { readonly answers: false; readonly text: string; readonly hint: string | null };

const figure = z.number();
const runningWork = z.object({
  kind: z.enum(['burn-in', 'speed']),
  run: figure,
  drive: z.string(),
  stage: z.string(),
  state: z.enum(['planned', 'running', 'paused', 'stopped', 'interrupted', 'finished']),
  erases: z.boolean(),
  doneBytes: figure,
  totalBytes: figure,
  bytesPerSecond: figure.nullable(),
  secondsLeft: figure.nullable(),
  errors: figure,
});

const machineSeen = z.object({
  hostName: z.string(),
  board: z.string().nullable(),
  processor: z.string().nullable(),
  memoryBytes: figure.nullable(),
  kernel: z.string(),
});

const agentStatus = z.object({
  version: z.string(),
  processId: figure,
  boot: figure,
  bootMs: figure,
  wallMs: figure,
  running: z.array(runningWork),
  limits: z.array(z.string()),
  inventoryRemarks: z.array(z.string()),
  modelFile: z.string().nullable(),
  machine: machineSeen.optional(),
  emptyWhy: z.record(z.string(), z.string()).optional(),
});

/** Asks for the agent's status and decodes the answer as foreign input. */
export async function viewAgent(ask: Ask): Promise<AgentView> {
  const reply = await ask({ request: 'status' });
  if ('error' in reply) {
    return { answers: false, text: reply.error.text, hint: reply.error.hint ?? null };
  }
  const decoded = agentStatus.safeParse(reply.result);
  if (decoded.success) return { answers: true, status: withoutUndefined(decoded.data) };
  return {
    answers: false,
    text: 'The agent answered with a status that this page does not understand',
    hint: 'Agent and page may be of different versions; restart both',
  };
}

function withoutUndefined(data: z.infer<typeof agentStatus>): AgentStatus {
  const { machine, emptyWhy, ...status } = data;
  return {
    ...status,
    ...(machine === undefined ? {} : { machine }),
    ...(emptyWhy === undefined ? {} : { emptyWhy }),
  };
}
