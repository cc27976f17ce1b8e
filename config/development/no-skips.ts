import type { Reporter, TestModule } from 'vitest/node';

/** Names every test that was left out; where CI is set, a test left out is a test failed. */
export function noSkips(): Reporter {
  return {
    onTestRunEnd(modules: readonly TestModule[]) {
      const skipped = modules
        .flatMap((module) => [...module.children.allTests()])
        .filter((test) => test.result().state === 'skipped');
      for (const test of skipped)
        console.error(`skipped: ${test.module.moduleId}: ${test.fullName}`);
      if (skipped.length > 0 && process.env.CI !== undefined) {
        console.error(`${skipped.length} tests were left out, and here none may be`);
        process.exitCode = 1;
      }
    },
  };
}
