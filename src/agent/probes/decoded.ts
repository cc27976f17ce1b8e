import { type Answer, answered, missing } from '../box/box.js';
import { PageError } from '../box/layouts/page-error.js';

/** What a decoder gives, or that the record is damaged. */
export function decoded<T>(decode: () => T): Answer<T> {
  try {
    return answered(decode());
  } catch (error) {
    if (error instanceof PageError) return missing('damaged', error.message);
    throw error;
  }
}
