import { Hono } from 'hono';
import { answerPage } from '../answer.js';
import { byUrgency } from '../by-urgency.js';
import type { WebParts } from '../page-facts.js';
import { wholeNumber } from '../query.js';
import { FindingsPage } from '../views/findings-page.js';
import { requestAndReturn } from './request-and-return.js';

const clearedShownMax = 200;
const asked = ['acknowledge', 'account-for'] as const;

export function findingRoutes(parts: WebParts): Hono {
  return new Hono()
    .get('/findings', (context) =>
      answerPage(context, parts, ({ store, seen, facts }) => ({
        title: 'Findings',
        current: '/findings',
        content: (
          <FindingsPage
            facts={facts}
            open={byUrgency(store.findings('open'))}
            cleared={[...store.findings('cleared')].reverse().slice(0, clearedShownMax)}
            parts={seen}
            boots={store.boots()}
          />
        ),
      })),
    )
    .post('/findings/:id/:request', (context) => {
      const finding = wholeNumber(context.req.param('id'), { from: 1, to: 999_999_999 });
      const name = asked.find((one) => one === context.req.param('request'));
      const request = finding === null || name === undefined ? null : { request: name, finding };
      return requestAndReturn(context, parts, { request, returnTo: '/findings' });
    });
}
