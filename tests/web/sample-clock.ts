import type { Clock } from '../../src/agent/clock.js';

/** A clock that stands where the sample's maker puts it. */
export class SampleClock implements Clock {
  bootId = '00000000-0000-4000-8000-000000000001';
  now = { bootMs: 0, wallMs: 0 };

  bootMs(): number {
    return this.now.bootMs;
  }

  wallMs(): number {
    return this.now.wallMs;
  }

  sleep(): Promise<void> {
    return Promise.resolve();
  }
}
