/** The second thread of a review: a program of its own, since loading all the others would hold it up. */
import { powersAhead } from './powers-ahead.ts';
import { serveJobs } from './serve-jobs.ts';

serveJobs({ powersAhead });
