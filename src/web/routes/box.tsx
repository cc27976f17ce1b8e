import { Hono } from 'hono';
import { answerPage } from '../answer.js';
import { partGroupViews, switchOffView } from '../box-view.js';
import { byUrgency } from '../by-urgency.js';
import type { WebParts } from '../page-facts.js';
import { BoxPage } from '../views/box-page.js';

const eventsMax = 12;

export function boxRoutes(parts: WebParts): Hono {
  return new Hono().get('/', (context) =>
    answerPage(context, parts, ({ store, seen, facts }) => ({
      title: 'Box',
      current: '/',
      content: (
        <BoxPage
          facts={facts}
          findings={byUrgency(store.findings('open'))}
          groups={partGroupViews(store, seen, facts.agent)}
          parts={seen}
          boots={store.boots()}
          events={store.events(null, eventsMax)}
          switchOff={switchOffView({ agent: facts.agent, nowMs: facts.nowMs, store, parts: seen })}
        />
      ),
    })),
  );
}
