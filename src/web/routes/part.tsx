import { Hono } from 'hono';
import { answerPage, notFound } from '../answer.js';
import { knowledgeOf, type WebParts } from '../page-facts.js';
import { partTitle } from '../part-name.js';
import { partView } from '../part-view.js';
import { nameText, wholeNumber } from '../query.js';
import { daysDefault, daysMax } from '../series-answer.js';
import { PartPage } from '../views/part-page.js';

export function partRoutes(parts: WebParts): Hono {
  return new Hono().get('/part/:name', (context) =>
    answerPage(context, parts, ({ store, seen, facts }) => {
      const name = nameText(context.req.param('name'));
      const part = seen.find((one) => one.name === name);
      if (part === undefined) {
        return notFound(
          'No part of that name has been seen on this box',
          'The box page lists every part once',
        );
      }
      const days = wholeNumber(context.req.query('days'), { from: 1, to: daysMax });
      return {
        title: partTitle(part),
        current: null,
        content: (
          <PartPage
            facts={facts}
            view={partView(store, part, { ...knowledgeOf(parts), parts: seen })}
            parts={seen}
            boots={store.boots()}
            days={days ?? daysDefault}
          />
        ),
      };
    }),
  );
}
