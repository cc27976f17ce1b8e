import type { DriveSeen } from '../checks/part.js';
import { pickDrive } from '../checks/pick-drive.js';
import type { AgentRequest } from '../checks/request.js';
import { exitCodes, UserError } from '../checks/user-error.js';
import type { BurnIns } from './burn-in/engine.js';
import type { Peer, RequestHandler } from './control.js';
import type { SpeedRuns } from './speed/speed-runs.js';
import type { TogetherRuns } from './speed/together-runs.js';
import type { StoreWriter } from './store/store.js';

export interface HandlerParts {
  readonly store: StoreWriter;
  readonly burnIns: BurnIns;
  readonly speeds: SpeedRuns;
  readonly together: TogetherRuns;
  readonly drives: () => readonly DriveSeen[];
  readonly status: () => object;
}

/** Carries out the requests that this version offers; refuses the others of the list by name. */
export function requestHandler(parts: HandlerParts): RequestHandler {
  const handlers: Partial<Record<AgentRequest['request'], RequestHandler>> = {
    status: async () => parts.status(),
    'speed-start': (request) => startSpeed(parts, request),
    'burn-in-plan': (request, peer) => parts.burnIns.plan(burnInOptions(request, peer)),
    'burn-in-start': async (request, peer) => ({
      run: await parts.burnIns.start(burnInOptions(request, peer)),
    }),
    pause: (request) => parts.burnIns.pause(runOf(request)),
    resume: (request) => parts.burnIns.resume(runOf(request)),
    stop: (request) => parts.burnIns.stop(runOf(request)),
    acknowledge: async (request) => acknowledge(parts, request),
    'account-for': async (request) => accountFor(parts, request),
  };
  return (request, peer) => {
    const handler = handlers[request.request];
    if (handler === undefined) {
      throw badRequest(`This version does not offer the request "${request.request}"`);
    }
    return handler(request, peer);
  };
}

async function startSpeed(parts: HandlerParts, { drive: word, options }: AgentRequest) {
  if (options?.together === true) {
    return parts.together.start(parts.drives(), { wake: options.wake === true });
  }
  const drive = pickDrive(parts.drives(), word ?? '');
  const started = await parts.speeds.start(drive, { wake: options?.wake === true });
  return { runs: [{ run: started.run, drive: drive.id }] };
}

/** Only a session of root or of the agent's own user may say that it sits at the box itself. */
function burnInOptions({ drive, options = {} }: AgentRequest, peer: Peer) {
  if (drive === undefined) throw badRequest('A burn-in request names no drive');
  const { digits, eraseFound } = options;
  return {
    drive,
    erase: options.erase === true,
    ...(typeof digits === 'string' ? { digits } : {}),
    ...(typeof eraseFound === 'string' ? { eraseFound } : {}),
    askedFrom: options.askedFrom === 'box' && peer.isTrusted ? ('box' as const) : ('page' as const),
  };
}

function acknowledge({ store }: HandlerParts, { finding }: AgentRequest): undefined {
  if (finding === undefined) throw badRequest('The request names no finding');
  if (!store.acknowledgeFinding(finding)) throw badRequest(`There is no finding ${finding}`);
}

function accountFor({ store }: HandlerParts, { finding }: AgentRequest): undefined {
  if (finding === undefined) throw badRequest('The request names no finding');
  if (!store.accountForFinding(finding)) throw badRequest(`There is no finding ${finding}`);
}

function runOf({ run }: AgentRequest): number {
  if (run === undefined) throw badRequest('The request names no run');
  return run;
}

function badRequest(text: string): UserError {
  return new UserError('bad-request', text, { exitCode: exitCodes.badInput });
}
