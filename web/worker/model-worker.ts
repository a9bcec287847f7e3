/** The browser's worker: the same pure core as everywhere, off the thread that draws. */
import { MODEL_JOBS } from './jobs.ts';
import type { ToWorker } from './messages.ts';
import { serveJobs } from './serve.ts';

const hear = serveJobs(MODEL_JOBS, (message) => self.postMessage(message));
self.addEventListener('message', ({ data }: MessageEvent<ToWorker>) => hear(data));
