// What the seeded checks share: a program of the tree bundled into one file, and jobs handed to threads until none are left.
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';
import { ROOT } from './setup.mjs';

/** Bundles the program at `source` (a path in `src`) into `file`; returns its address for an import. */
export const bundled = async (source, file, options = {}) => {
  const { rolldown } = await import('rolldown');
  const bundle = await rolldown({ input: join(ROOT, 'src', source), platform: 'node', logLevel: 'warn', ...options });
  await bundle.write({ file, format: 'esm' });
  await bundle.close();
  return pathToFileURL(file).href;
};

/** Hands what `take` gives, until it gives undefined, to two threads of the script at `address`, which find `program` in their data. */
export const overThreads = (address, program, take, heard) => {
  const hand = () =>
    new Promise((resolve, reject) => {
      const worker = new Worker(fileURLToPath(address), { workerData: { program } });
      const more = () => {
        const job = take();
        if (job === undefined) resolve(worker.terminate());
        else worker.postMessage(job);
      };
      worker.on('error', reject);
      worker.on('message', (answer) => {
        heard(answer);
        more();
      });
      more();
    });
  return Promise.all(Array.from({ length: Math.min(2, availableParallelism()) }, hand));
};
