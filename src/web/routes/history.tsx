import { Hono } from 'hono';
import { answerPage } from '../answer.js';
import { historyLines } from '../history.js';
import type { WebParts } from '../page-facts.js';
import { wholeNumber } from '../query.js';
import { readTimes } from '../read-times.js';
import { HistoryPage } from '../views/history-page.js';

const linesPerSheet = 60;

export function historyRoutes(parts: WebParts): Hono {
  return new Hono().get('/history', (context) =>
    answerPage(context, parts, ({ store, facts }) => {
      const boots = store.boots();
      const lines = historyLines(boots, readTimes(store, facts.nowMs));
      const sheets = Math.max(1, Math.ceil(lines.length / linesPerSheet));
      const sheet = wholeNumber(context.req.query('sheet'), { from: 1, to: sheets }) ?? 1;
      return {
        title: 'Box history',
        current: '/history',
        content: (
          <HistoryPage
            facts={facts}
            lines={lines.slice((sheet - 1) * linesPerSheet, sheet * linesPerSheet)}
            bootCount={boots.length}
            onMsSum={boots.reduce((sum, boot) => sum + boot.lastMonoMs, 0)}
            sheet={sheet}
            sheets={sheets}
          />
        ),
      };
    }),
  );
}
