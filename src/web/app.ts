import { Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { viewAgent } from './agent-view.js';
import { answerError, answerProblem, factsOf } from './answer.js';
import { onlyKnownHosts, onlySameOrigin, securityHeaders } from './guards.js';
import type { WebParts } from './page-facts.js';
import { aliveRoutes } from './routes/alive.js';
import { assetRoutes } from './routes/assets.js';
import { boxRoutes } from './routes/box.js';
import { bytesRoutes } from './routes/bytes.js';
import { estimateRoutes } from './routes/estimate.js';
import { findingRoutes } from './routes/findings.js';
import { historyRoutes } from './routes/history.js';
import { partRoutes } from './routes/part.js';
import { seriesRoutes } from './routes/series.js';
import { speedRoutes } from './routes/speeds.js';
import { trialRoutes } from './routes/trial.js';

const bodyBytesMax = 16 * 1024;

/** The dashboard as one application. It opens no port: the entry binds it, tests just ask it. */
export function makeApp(parts: WebParts): Hono {
  const app = new Hono();
  app.use(securityHeaders());
  app.use(onlyKnownHosts(parts.hostNames ?? []));
  app.use(onlySameOrigin());
  app.use(bodyLimit({ maxSize: bodyBytesMax }));
  for (const routes of [
    boxRoutes,
    partRoutes,
    bytesRoutes,
    trialRoutes,
    estimateRoutes,
    speedRoutes,
    historyRoutes,
    findingRoutes,
    seriesRoutes,
    aliveRoutes,
    assetRoutes,
  ]) {
    app.route('/', routes(parts));
  }
  app.notFound(async (context) => {
    const facts = factsOf(parts, await viewAgent(parts.ask));
    const problem = { title: 'Not found', text: 'There is no page at this address', hint: null };
    return answerProblem(context, facts, { status: 404, problem });
  });
  app.onError((error, context) => answerError(context, parts, error));
  return app;
}
