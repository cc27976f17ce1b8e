import { Hono } from 'hono';
import { enoughOf } from '../../checks/model/estimate/enough.js';
import { estimate } from '../../checks/model/estimate/estimate.js';
import { gainsOf } from '../../checks/model/estimate/gains.js';
import { wayOfData } from '../../checks/model/estimate/way-of-data.js';
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
      const found = estimate(model, knowledge);
      const drives = model.drives.map(({ serial }) => serial);
      return {
        ...page,
        content: (
          <EstimatePage
            found={found}
            way={wayOfData(model, found)}
            gains={gainsOf(model, knowledge, found)}
            enough={enoughOf(model, found)}
            measured={drives.filter((serial) => measured.has(serial))}
          />
        ),
      };
    }),
  );
}
