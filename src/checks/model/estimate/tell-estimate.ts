import type { BoxModel } from '../parse.js';
import { type Enough, enoughOf } from './enough.js';
import { type EstimateKnowledge, estimate } from './estimate.js';
import { type Gain, gainsOf } from './gains.js';
import type { Estimate } from './types.js';
import { type WayOfData, wayOfData } from './way-of-data.js';

/** An estimate with what can be said beyond its figures. */
export interface EstimateTold {
  readonly found: Estimate;
  readonly way: WayOfData;
  readonly gains: readonly Gain[];
  readonly enough: readonly Enough[];
}

/** All that command and page tell of one build. Pure; throws nothing for a valid model. */
export function tellEstimate(model: BoxModel, knowledge: EstimateKnowledge): EstimateTold {
  const found = estimate(model, knowledge);
  return {
    found,
    way: wayOfData(model, found),
    gains: gainsOf(model, knowledge, found),
    enough: enoughOf(model, found),
  };
}
