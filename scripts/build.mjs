// Builds the programs (rolldown) and the web pages (vite). Run by set-up when the source is newer; by hand: npm run build.
import { existsSync, mkdirSync, rmSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
/** Programs by name; each becomes one file of the output folder, shared code split off beside it. */
const ENTRIES = {
  cli: 'src/cli/main.ts',
  server: 'src/server/main.ts',
  'compute-worker': 'src/app/compute-worker.ts',
  'powers-worker': 'src/app/powers-worker.ts',
  bench: 'src/app/bench-programs.ts',
};

/** Packages of plain JavaScript that are built in, for what is used of them only: loading all of them doubles the start. */
const BUILT_IN = new Set([
  'zod',
  'psychrolib',
  'fflate',
  'fzstd',
  'hyparquet',
  'hyparquet-compressors',
  'mathjs',
  'typed-function',
]);

/** A package by its name, as opposed to a file of ours. */
const isPackage = (id) => /^[@a-z]/.test(id) && !/^[A-Za-z]:[\\/]/.test(id);
/** The package that an import names, without the path within it. */
const packageOf = (id) => /^(@[^/]+\/)?[^/]+/.exec(id)[0];

const buildCore = async (folder) => {
  const { rolldown } = await import('rolldown');
  const input = Object.fromEntries(
    Object.entries(ENTRIES)
      .map(([name, path]) => [name, join(ROOT, path)])
      .filter(([, path]) => existsSync(path)),
  );
  if (Object.keys(input).length === 0) throw new Error('none of the entry files is there');
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const bundle = await rolldown({
    input,
    platform: 'node',
    external: (id) => builtinModules.includes(id) || (isPackage(id) && !BUILT_IN.has(packageOf(id))),
    // No module of ours does anything when it is merely loaded, so what a program does not use is left out of it.
    treeshake: { moduleSideEffects: false },
    resolve: { conditionNames: ['node', 'import'] },
    logLevel: 'warn',
  });
  await bundle.write({
    dir: folder,
    format: 'esm',
    entryFileNames: '[name].mjs',
    chunkFileNames: 'part-[hash].mjs',
    sourcemap: true,
    keepNames: true,
  });
  await bundle.close();
};

const buildWeb = async (folder) => {
  if (!existsSync(join(ROOT, 'web', 'index.html'))) {
    process.stderr.write('No web pages to build: web/index.html is missing.\n');
    return;
  }
  const { build } = await import('vite');
  await build({
    configFile: join(ROOT, 'vite.config.ts'),
    logLevel: 'warn',
    build: { outDir: folder, emptyOutDir: true },
  });
};

/** What is wrong with the source, without the builder's own stack. */
const orExplain = async (work) => {
  try {
    await work();
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : error}\n`);
    process.exit(1);
  }
};

const [what, folder] = process.argv.slice(2);
if (what === 'core') await orExplain(() => buildCore(folder));
else if (what === 'web') await orExplain(() => buildWeb(folder));
else {
  const { ensureBuild, ensureDependencies, endWith } = await import('./setup.mjs');
  try {
    ensureDependencies();
    const { core, pages } = ensureBuild();
    process.stdout.write(`${core}\n${pages ? `${pages}\n` : ''}`);
  } catch (error) {
    endWith(error);
  }
}
