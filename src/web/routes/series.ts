import { Hono } from 'hono';
import { answerJson } from '../answer.js';
import type { WebParts } from '../page-facts.js';
import { nameText, wholeNumber } from '../query.js';
import { daysDefault, daysMax, seriesAnswer } from '../series-answer.js';

/** Figures of one series as columns for the chart. */
export function seriesRoutes(parts: WebParts): Hono {
  return new Hono().get('/api/series/:name/:metric', (context) => {
    const name = nameText(context.req.param('name'));
    const metric = nameText(context.req.param('metric'));
    const asked = context.req.query('days');
    const days = wholeNumber(asked ?? String(daysDefault), { from: 1, to: daysMax });
    const place = context.req.query('place') ?? '';
    if (name === null || metric === null || days === null || place.length > 200) {
      const text = `Expected a part, a metric, and days from 1 to ${daysMax}`;
      return context.json({ error: { code: 'bad-request', text } }, 400);
    }
    return answerJson(context, parts, (store) =>
      seriesAnswer(store, { name, metric, place, days }, parts.clock.wallMs()),
    );
  });
}
