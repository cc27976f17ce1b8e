import { Hono } from 'hono';
import type { StoreReader } from '../../agent/store/store.js';
import { type AgentView, viewAgent } from '../agent-view.js';
import { answerJson, answerPage } from '../answer.js';
import type { WebParts } from '../page-facts.js';
import { wholeNumber } from '../query.js';
import { doneShare, type Trial, trialOf } from '../trials.js';
import { progressWords } from '../views/running-work.js';
import { TrialPage } from '../views/trial-page.js';
import { requestAndReturn } from './request-and-return.js';

const trialsShownMax = 50;
const controls = ['pause', 'resume', 'stop'] as const;

export function trialRoutes(parts: WebParts): Hono {
  return new Hono()
    .get('/trial', (context) =>
      answerPage(context, parts, ({ store, seen, facts }) => ({
        title: 'Parts on trial',
        current: '/trial',
        content: <TrialPage facts={facts} trials={trialsOf(store, facts.agent)} parts={seen} />,
      })),
    )
    .get('/api/trials', async (context) => {
      const agent = await viewAgent(parts.ask);
      return answerJson(context, parts, (store) => progressOf(agent, trialsOf(store, agent)));
    })
    .post('/trial/:run/:control', (context) => {
      const run = wholeNumber(context.req.param('run'), { from: 1, to: 999_999_999 });
      const control = controls.find((one) => one === context.req.param('control'));
      const request = run === null || control === undefined ? null : { request: control, run };
      return requestAndReturn(context, parts, { request, returnTo: `/trial#run-${run}` });
    });
}

function trialsOf(store: StoreReader, agent: AgentView): readonly Trial[] {
  const running = agent.answers ? agent.status.running : [];
  return [...store.burnIns()]
    .sort((a, b) => b.run - a.run)
    .slice(0, trialsShownMax)
    .map((row) => trialOf(row, store.journal(row.run), running));
}

/** What an open page needs to move its bars; `ended` tells it to load the verdict. */
function progressOf(agent: AgentView, trials: readonly Trial[]): object {
  const running = agent.answers ? agent.status.running : [];
  return {
    agent: agent.answers ? 'answers' : 'stopped',
    running: running.map((work) => ({
      run: work.run,
      kind: work.kind,
      share: doneShare(work),
      words: progressWords(work),
      state: work.state,
      stage: work.stage,
    })),
    runs: trials.map(({ row, errorCount }) => ({ run: row.run, state: row.state, errorCount })),
  };
}
