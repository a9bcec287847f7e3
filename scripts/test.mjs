// npm test: sets up, then lint, types and every test; the last line of output counts them.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { endWith, ensureBrowser, ensureBuild, ensureDependencies, ROOT } from './setup.mjs';

const REPORT = join(ROOT, 'dist', 'test-report.json');
/** Read by .ci/run for its closing line. */
const SUMMARY = join(ROOT, 'dist', 'test-summary.json');

let browser;
try {
  rmSync(SUMMARY, { force: true });
  ensureDependencies();
  ensureBuild();
  browser = ensureBrowser();
} catch (error) {
  endWith(error);
}
if (browser.problem) process.stderr.write(`Browser tests will not run: ${browser.problem}\n`);

const bin = (path) => join(ROOT, 'node_modules', path);
const run = (args) =>
  spawnSync(process.execPath, args, {
    cwd: ROOT,
    stdio: 'inherit',
    env: { ...process.env, ...(browser.path ? { CHROMIUM_PATH: browser.path } : { NO_CHROMIUM: browser.problem }) },
  }).status === 0;

const results = [];
const check = (name, args) => {
  process.stdout.write(`\n${name}\n`);
  results.push({ name, ok: run(args) });
};

check('lint', [bin('@biomejs/biome/bin/biome'), 'check', '--error-on-warnings', '.']);
check('typecheck', [bin('typescript/bin/tsc'), '--noEmit']);

mkdirSync(join(ROOT, 'dist'), { recursive: true });
rmSync(REPORT, { force: true });
process.stdout.write('\ntests\n');
const testsOk = run([
  bin('vitest/vitest.mjs'),
  'run',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${REPORT}`,
]);

let counted;
try {
  const { numPassedTests, numFailedTests, numFailedTestSuites, numPendingTests } = JSON.parse(
    readFileSync(REPORT, 'utf8'),
  );
  counted = { passed: numPassedTests, failed: numFailedTests, suites: numFailedTestSuites, notRun: numPendingTests };
} catch {
  counted = { passed: 0, failed: 1, suites: 0, notRun: 0 };
}
// A file that cannot even be loaded has no failed tests of its own: it must count all the same.
const failedTests = testsOk ? counted.failed : Math.max(counted.failed, 1);
const passed = counted.passed + results.filter(({ ok }) => ok).length;
const failed = failedTests + results.filter(({ ok }) => !ok).length;
writeFileSync(SUMMARY, `${JSON.stringify({ passed, failed, notRun: counted.notRun })}\n`);
for (const { name, ok } of results) if (!ok) process.stdout.write(`${name}: failed\n`);
if (counted.notRun > 0) process.stdout.write(`${counted.notRun} tests were not run here\n`);
process.stdout.write(`${passed} passed, ${failed} failed\n`);
process.exit(failed === 0 ? 0 : 1);
