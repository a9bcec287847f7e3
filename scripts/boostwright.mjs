#!/usr/bin/env node
// The command line: sets up and builds what is stale, then runs the built program in this process.
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { endWith, ensureBuild, ensureDependencies } from './setup.mjs';

const args = process.argv.slice(2);
let folder;
let pages;
try {
  ensureDependencies();
  ({ core: folder, pages } = ensureBuild({ web: args.includes('serve') }));
} catch (error) {
  endWith(error);
}
const { main } = await import(pathToFileURL(join(folder, 'cli.mjs')).href);
process.exitCode = await main(args, { pages });
