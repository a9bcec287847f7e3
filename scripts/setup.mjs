// What every command needs before it can run: dependencies, the build, a browser for the tests.
// Plain Node 20, no dependencies: this runs on a fresh clone. Everything it has to say goes to standard error.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('..', import.meta.url));
const DIST = join(ROOT, 'dist');
const at = (...parts) => join(ROOT, ...parts);

/** A set-up that cannot go on: its message is one sentence for the person at the keyboard. */
export class SetupProblem extends Error {}

const say = (text) => process.stderr.write(`${text}\n`);

/** Prints a set-up problem as its sentence (anything else as a fault) and ends the process. */
export const endWith = (error) => {
  say(error instanceof SetupProblem ? error.message : `Boostwright failed while setting up: ${error?.stack ?? error}`);
  process.exit(1);
};

const pause = (ms) => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);

const isAlive = (pid) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
};

/** Runs `work` while no other process of this checkout does: a folder is the lock, a dead owner's lock is taken over. */
const alone = (name, work) => {
  const lock = join(DIST, `.${name}.lock`);
  mkdirSync(DIST, { recursive: true });
  for (let waited = 0; ; waited += 50) {
    try {
      mkdirSync(lock);
      break;
    } catch (error) {
      if (error.code !== 'EEXIST') {
        throw new SetupProblem(`Cannot write to ${DIST} (${error.code}); make the checkout writable and run again.`);
      }
    }
    let owner = Number.NaN;
    try {
      owner = Number(readFileSync(join(lock, 'pid'), 'utf8'));
    } catch {
      // Not written yet, or just released.
    }
    if (Number.isInteger(owner) && owner > 0 ? !isAlive(owner) : waited > 10_000)
      rmSync(lock, { recursive: true, force: true });
    else if (waited === 1000) say(`Waiting for another Boostwright process to finish its ${name} step.`);
    if (waited > 15 * 60_000)
      throw new SetupProblem(`Another process has held ${lock} for 15 minutes; end it or delete that folder.`);
    pause(50);
  }
  try {
    writeFileSync(join(lock, 'pid'), String(process.pid));
    return work();
  } finally {
    rmSync(lock, { recursive: true, force: true });
  }
};

/** Runs a program with its output on our standard error; true when it exits with 0. */
const ran = (command, args, options = {}) =>
  spawnSync(command, args, {
    cwd: ROOT,
    stdio: ['ignore', 2, 2],
    shell: process.platform === 'win32',
    ...options,
  }).status === 0;

const isRootOnDebian = () => existsSync('/etc/debian_version') && process.getuid?.() === 0;

const installDebian = (packages) => {
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  return (
    ran('apt-get', ['update', '-q'], { env }) &&
    ran('apt-get', ['install', '-y', '-q', '--no-install-recommends', ...packages], { env })
  );
};

// ---- dependencies

const STAMP = at('node_modules', '.boostwright-stamp');

const wantedStamp = () =>
  createHash('sha256')
    .update(readFileSync(at('package-lock.json')))
    .update(`${process.platform} ${process.arch} ${process.versions.modules}`)
    .digest('hex');

const readText = (path) => {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return null;
  }
};

/** True when every package of the lock that must be there is there in its version. */
const installedMatchesLock = () => {
  const installed = readText(at('node_modules', '.package-lock.json'));
  if (installed === null) return false;
  const have = JSON.parse(installed).packages;
  const want = JSON.parse(readFileSync(at('package-lock.json'), 'utf8')).packages;
  return Object.entries(want).every(
    ([path, { version, optional }]) =>
      path === '' || (optional ? !have[path] || have[path].version === version : have[path]?.version === version),
  );
};

/** better-sqlite3 is compiled or fetched while it is installed: see that it really opens a database. */
const databaseOpens = () =>
  spawnSync(process.execPath, ['-e', "new (require('better-sqlite3'))(':memory:').close()"], {
    cwd: ROOT,
    stdio: 'ignore',
  }).status === 0;

const ensureDatabase = () => {
  if (databaseOpens()) return;
  say('Building better-sqlite3 for this machine.');
  if (ran('npm', ['rebuild', 'better-sqlite3']) && databaseOpens()) return;
  if (
    isRootOnDebian() &&
    installDebian(['python3', 'make', 'g++']) &&
    ran('npm', ['rebuild', 'better-sqlite3']) &&
    databaseOpens()
  )
    return;
  throw new SetupProblem(
    'better-sqlite3 does not load on this machine: install a C++ compiler, make and Python 3, then run "npm rebuild better-sqlite3".',
  );
};

/** Installs what package-lock.json names, when it is not there already. */
export const ensureDependencies = () => {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  if (major < 20 || (major === 20 && minor < 19)) {
    throw new SetupProblem(`Boostwright needs Node 20.19 or newer; this is Node ${process.versions.node}.`);
  }
  if (readText(STAMP) === wantedStamp()) return;
  alone('setup', () => {
    if (readText(STAMP) === wantedStamp()) return;
    if (!installedMatchesLock()) {
      say('Installing the dependencies (npm ci).');
      if (!ran('npm', ['ci', '--no-audit', '--no-fund'])) {
        throw new SetupProblem(
          'The dependencies could not be installed (npm ci failed, see above); check the network and run again.',
        );
      }
    }
    ensureDatabase();
    writeFileSync(STAMP, wantedStamp());
  });
};

// ---- build

const filesUnder = (folder) =>
  existsSync(folder)
    ? readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile())
        .map((entry) => join(entry.parentPath ?? entry.path, entry.name))
    : [];

const isSource = (path) =>
  /\.(m?[jt]sx?|json|css|html|svg|woff2)$/.test(path) && !/\.(test|bench)\.[jt]sx?$/.test(path);

const fingerprint = (files) => {
  const hash = createHash('sha256');
  for (const file of files.filter(isSource).sort()) {
    const { size, mtimeMs } = statSync(file);
    hash.update(`${file.slice(ROOT.length)} ${size} ${mtimeMs}\n`);
  }
  return hash.digest('hex').slice(0, 16);
};

const shared = () => [at('package-lock.json'), at('scripts', 'build.mjs'), ...filesUnder(at('src'))];
const coreFingerprint = () => fingerprint(shared());
const webFingerprint = () => fingerprint([...shared(), at('vite.config.ts'), ...filesUnder(at('web'))]);

/** Folder of the built programs for this very source: a new build never pulls files from under a running one. */
const coreFolder = (print) => join(DIST, 'core', print);

const isBuilt = (folder, print) => readText(join(folder, '.stamp')) === print;

const removeOldCores = (print) => {
  const core = join(DIST, 'core');
  const folders = readdirSync(core)
    .filter((name) => name !== print)
    .map((name) => ({ path: join(core, name), age: statSync(join(core, name)).mtimeMs }))
    .sort((a, b) => b.age - a.age);
  for (const { path } of folders.slice(4)) rmSync(path, { recursive: true, force: true });
};

const build = (what, folder, print) => {
  say(`Building ${what === 'core' ? 'the programs' : 'the web pages'}.`);
  if (!ran(process.execPath, [at('scripts', 'build.mjs'), what, folder])) {
    throw new SetupProblem(`The build failed (see above); nothing was changed. To see it alone, run "npm run build".`);
  }
  writeFileSync(join(folder, '.stamp'), print);
};

/**
 * Builds what is stale and returns where it is. Cheap when nothing changed: one look at every source file's size and time.
 * @param {{ web?: boolean }} options `web: false` leaves the pages alone, for commands that show none.
 */
export const ensureBuild = ({ web = true } = {}) => {
  const corePrint = coreFingerprint();
  const core = coreFolder(corePrint);
  const pages = join(DIST, 'web');
  const hasPages = existsSync(at('web', 'index.html'));
  const webPrint = web && hasPages ? webFingerprint() : null;
  if (!isBuilt(core, corePrint) || (webPrint !== null && !isBuilt(pages, webPrint))) {
    alone('build', () => {
      if (!isBuilt(core, corePrint)) {
        build('core', core, corePrint);
        removeOldCores(corePrint);
      }
      if (webPrint !== null && !isBuilt(pages, webPrint)) build('web', pages, webPrint);
    });
  }
  if (web && !hasPages)
    say('There are no web pages in this checkout (web/index.html is missing): only the data interface is served.');
  return { core, pages: webPrint === null ? null : pages };
};

// ---- browser

const onPath = (name) =>
  (process.env.PATH ?? '')
    .split(delimiter)
    .map((folder) => join(folder, name))
    .find((path) => {
      try {
        accessSync(path, constants.X_OK);
        return true;
      } catch {
        return false;
      }
    });

const findBrowser = () => {
  const given = process.env.CHROMIUM_PATH;
  if (given) return existsSync(given) ? given : undefined;
  return onPath('chromium') ?? onPath('chromium-browser');
};

/** A Chromium for the browser tests: the path of one, or a sentence that says why there is none. */
export const ensureBrowser = () => {
  const found = findBrowser();
  if (found) return { path: found };
  if (process.env.CHROMIUM_PATH) {
    return { problem: `CHROMIUM_PATH names ${process.env.CHROMIUM_PATH}, and there is no such file.` };
  }
  if (!isRootOnDebian()) {
    return {
      problem:
        'No Chromium was found, and installing one takes root on Debian: install Chromium yourself or set CHROMIUM_PATH to one.',
    };
  }
  say('Installing Chromium from the Debian packages.');
  const installed = installDebian(['chromium']) ? findBrowser() : undefined;
  return installed
    ? { path: installed }
    : {
        problem:
          'Chromium could not be installed (apt-get failed, see above); install it yourself or set CHROMIUM_PATH.',
      };
};
