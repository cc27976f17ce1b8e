import type { BoxModel } from '../parse.js';
import type { ArrayEstimate, CostEstimate } from './types.js';

interface Priced {
  readonly name: string;
  readonly price?: number | undefined;
}

const bytesPerTerabyte = 1e12;

/** Sum of the parts with a price, per usable terabyte and against the budget, in its currency. */
export function estimateCost(model: BoxModel, arrays: readonly ArrayEstimate[]): CostEstimate {
  const parts: readonly Priced[] = [
    ...[...model.cards, ...model.cables, ...model.backplanes, ...model.switches].map((one) => ({
      name: one.id,
      price: one.price,
    })),
    ...model.drives.map(({ serial, price }) => ({ name: serial, price })),
  ];
  const sum = parts.reduce((total, { price }) => total + (price ?? 0), 0);
  const usable = arrays.reduce((total, { usableBytes }) => total + usableBytes, 0);
  const limit = model.budget.limit ?? null;
  return {
    currency: model.box.currency ?? null,
    sum,
    withoutPrice: parts.filter(({ price }) => price === undefined).map(({ name }) => name),
    perUsableTerabyte: usable === 0 ? null : sum / (usable / bytesPerTerabyte),
    limit,
    leftOfBudget: limit === null ? null : limit - sum,
  };
}
