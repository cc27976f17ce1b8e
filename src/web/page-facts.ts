import type { StoreReader } from '../agent/store/store.js';
import type { SpeedKnowledge } from '../checks/check-input.js';
import type { DriveClass } from '../checks/model/classes.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { UserError } from '../checks/user-error.js';
import type { AgentView, Ask } from './agent-view.js';

/** What the pages are made from; given once when the app is made. */
export interface WebParts {
  readonly openStore: () => StoreReader | UserError;
  readonly clock: { wallMs(): number };
  readonly ask: Ask;
  /** Shown on top of every page when given, such as that all data is invented. */
  readonly banner: string | null;
  /** Folder of the bundled script and style. */
  readonly assets: string;
  /** The build model as it is now, or null when there is none that can be used. */
  readonly model?: () => BoxModel | null;
  /** Classes of drives, for what speed to expect; none when not given. */
  readonly classes?: readonly DriveClass[];
  /** Host names beside the loopback ones under which the page may be asked for. */
  readonly hostNames?: readonly string[];
}

/** What every page shows around its content. */
export interface PageFacts {
  readonly agent: AgentView;
  readonly nowMs: number;
  readonly banner: string | null;
}

/** What expectations of speed are made from, as it is now. */
export function knowledgeOf(parts: WebParts): SpeedKnowledge {
  return { model: parts.model?.() ?? null, classes: parts.classes ?? [] };
}
