import { Hono } from 'hono';
import { tellEstimate } from '../../checks/model/estimate/tell-estimate.js';
import { answerPage } from '../answer.js';
import { firstMeasured } from '../measured-speeds.js';
import type { WebParts } from '../page-facts.js';
import { EstimatePage, NoEstimate } from '../views/estimate-page.js';

export function estimateRoutes(parts: WebParts): Hono {
  return new Hono().get('/estimate', (context) =>
    answerPage(context, parts, ({ store, seen }) => {
      const page = { title: 'Estimate', current: '/estimate' };
      const model = parts.model?.() ?? null;
      if (model === null) return { ...page, content: <NoEstimate /> };
      const measured = firstMeasured(seen.flatMap(({ id }) => [...store.speeds(id)]));
      const knowledge = { classes: parts.classes ?? [], measured };
      const drives = model.drives.map(({ serial }) => serial);
      return {
        ...page,
        content: (
          <EstimatePage
            {...tellEstimate(model, knowledge)}
            measured={drives.filter((serial) => measured.has(serial))}
          />
        ),
      };
    }),
  );
}
