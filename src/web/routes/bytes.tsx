import { Hono } from 'hono';
import { parseFigureName } from '../../checks/figure-name.js';
import { answerPage, notFound } from '../answer.js';
import { bytesView } from '../bytes-view.js';
import { makeBytesFinder } from '../kept-bytes.js';
import type { WebParts } from '../page-facts.js';
import { nameText } from '../query.js';
import { BytesPage, figureTitle } from '../views/bytes-page.js';

/** The way from one figure of a part to the bytes that it was read from. */
export function bytesRoutes(parts: WebParts): Hono {
  const find = makeBytesFinder();
  return new Hono().get('/part/:name/bytes', (context) =>
    answerPage(context, parts, ({ store, seen, facts }) => {
      const name = nameText(context.req.param('name'));
      const figure = nameText(context.req.query('figure'));
      const part = seen.find((one) => one.name === name);
      const view =
        part === undefined || figure === null
          ? null
          : bytesView(store, { part, name: parseFigureName(figure), find });
      if (view === null) {
        return notFound(
          'No such figure of such a part is known',
          'The page of a part lists its figures; each number leads to its bytes',
        );
      }
      const all = context.req.query('all') === '1';
      return {
        title: `Bytes of ${figureTitle(view)}`,
        current: null,
        content: <BytesPage view={view} nowMs={facts.nowMs} all={all} />,
      };
    }),
  );
}
