/** The worker thread for all jobs. */
import { JOBS } from './jobs.ts';
import { serveJobs } from './serve-jobs.ts';

serveJobs(JOBS);
