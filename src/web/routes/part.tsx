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
    answerPage(context, parts, ({ store, facts }) => {
      const name = nameText(context.req.param('name'));
      const part = name === null ? null : store.partByName(name);
      if (part === null) {
        return notFound(
          'No part of that name has been seen on this box',
          'The box page lists every part once',
        );
      }
      const days = wholeNumber(context.req.query('days'), { from: 1, to: daysMax });
      const model = parts.model?.() ?? null;
      const bay = model?.drives.find((drive) => drive.serial === part.name)?.bay ?? null;
      return {
        title: partTitle(part),
        current: null,
        content: (
          <PartPage
            facts={facts}
            view={partView(store, part, knowledgeOf(parts))}
            parts={store.parts()}
            boots={store.boots()}
            bay={bay}
            days={days ?? daysDefault}
          />
        ),
      };
    }),
  );
}
