import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files of a minute or so, begun first so that none of them is left running alone at the end. */
const LONGEST = ['tests/browser.test.ts', 'tests/cli.test.ts', 'src/review/spool-labelled.test.ts'];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => {
      const at = LONGEST.findIndex((name) => moduleId.endsWith(name));
      return at < 0 ? LONGEST.length : at;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}

export default defineConfig({
  test: {
    include: [
      'src/**/*.test.ts',
      'web/**/*.test.ts',
      'web/**/*.test.tsx',
      'data/**/*.test.ts',
      'scripts/**/*.test.ts',
      'tests/**/*.test.ts',
    ],
    pool: 'threads',
    maxWorkers: 2,
    // Rooms are pure and leave nothing behind: loading them once a thread instead of once a file takes three quarters off
    // the time of their short tests.
    isolate: false,
    sequence: { sequencer: LongestFirst },
    // Long enough on a busy machine: other work there must not decide.
    testTimeout: 120_000,
    expect: { poll: { timeout: 30_000 } },
  },
});
