import { Hono } from 'hono';
import { answerJson, answerPage } from '../answer.js';
import { knowledgeOf, type WebParts } from '../page-facts.js';
import { nameText } from '../query.js';
import { expectationWords, placeColumns } from '../speed-expected.js';
import { latestRuns, runsOf } from '../speeds.js';
import { SpeedsPage } from '../views/speeds-page.js';

export function speedRoutes(parts: WebParts): Hono {
  return new Hono()
    .get('/speeds', (context) =>
      answerPage(context, parts, ({ store, seen, facts }) => {
        const knowledge = knowledgeOf(parts);
        const runs = latestRuns(seen.flatMap((part) => [...store.speeds(part.id)]));
        return {
          title: 'Speeds',
          current: '/speeds',
          content: (
            <SpeedsPage
              facts={facts}
              runs={runs}
              parts={seen}
              expectationOf={(run) => expectationWords(run, seen, knowledge)}
            />
          ),
        };
      }),
    )
    .get('/api/speed/:name', (context) =>
      answerJson(context, parts, (store) => {
        const name = nameText(context.req.param('name'));
        const part = name === null ? null : store.partByName(name);
        if (part === null) return null;
        const runs = runsOf(store.speeds(part.id));
        return runs[0] === undefined ? null : placeColumns(runs, part, knowledgeOf(parts));
      }),
    );
}
