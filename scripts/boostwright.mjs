#!/usr/bin/env node
// The command line: sets up and builds what is stale, then runs the built program in this process.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { endWith, ensureBuild, ensureDependencies, ROOT } from './setup.mjs';

const args = process.argv.slice(2);
let built;
try {
  ensureDependencies();
  built = ensureBuild({ web: args[0] === 'serve' });
} catch (error) {
  endWith(error);
}
const { core, pages } = built;
const program = (name) => import(pathToFileURL(join(core, name)).href);

/** Serves until Ctrl+C or a stop signal; what was acknowledged is on the disk already, so stopping needs no care. */
const serve = async (options) => {
  const { serve: start } = await program('server.mjs');
  const { address, close } = await start({ ...options, pages, demo: join(ROOT, 'data', 'demo') });
  process.stdout.write(`Boostwright is ready at ${address} (this computer only; Ctrl+C stops it)\n`);
  await new Promise((stop) => {
    for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, stop);
  });
  await close();
};

// A reader that closes early (like "head") is no fault.
process.stdout.on('error', (error) => process.exit(error.code === 'EPIPE' ? 0 : 1));

/** One line that is written over; erased at the end. */
const showProgress = (text) => process.stderr.write(`\r${text ?? ''}\u001b[K`);

/** While long work listens, Ctrl+C stops it cleanly; a second one ends the process at once. */
const interrupted = (stop) => {
  let heard = false;
  const hear = () => {
    if (heard) process.exit(130);
    heard = true;
    stop();
  };
  process.on('SIGINT', hear);
  return () => process.off('SIGINT', hear);
};

// A command is over before code that is warm at most would pay back its compiling: only what is truly hot is worth it.
if (args[0] === 'review' && process.versions.node.startsWith('20.')) setFlagsFromString('--interrupt-budget=400000');

const { main } = await program('cli.mjs');
process.exitCode = await main(args, {
  version: JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')).version,
  serve,
  out: (text) => process.stdout.write(`${text}\n`),
  err: (text) => process.stderr.write(`${text}\n`),
  env: process.env,
  ...(process.stderr.isTTY ? { progress: showProgress } : {}),
  interrupted,
});
