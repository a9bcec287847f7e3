/** A review made in two threads is the review that one thread makes. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { readBuild } from './builds.ts';
import { type PowersAhead, powersAhead } from './powers-ahead.ts';
import { reviewedLog } from './review.ts';
import { beginPowers, type PowersCompute, reviewInTwoThreads } from './review-ahead.ts';

const demo = (path: string) => readFileSync(fileURLToPath(new URL(`../../data/demo/${path}`, import.meta.url)));

/** Stands for a thread: answers once the question is there, and keeps what it was given. */
const thread = () => {
  const given: PowersAhead[] = [];
  const compute = {
    run: async (_job: string, ahead: PowersAhead) => {
      given.push(ahead);
      while (Atomics.load(ahead.state, 0) === 0) await new Promise((soon) => setTimeout(soon, 1));
      return powersAhead(ahead);
    },
    close: async () => {},
  } as unknown as PowersCompute;
  return { compute, given };
};

describe('a review in two threads', () => {
  it('gives the same answer', async () => {
    const request = {
      bytes: demo('logs/wren-third-gear.csv'),
      name: 'wren-third-gear.csv',
      build: readBuild(demo('builds/wren-as-driven.json').toString(), 'the sheet').build,
      choices: [],
      assumedRateHz: null,
    };
    const { compute } = thread();
    const answer = await reviewInTwoThreads(beginPowers(compute, request.build), request);
    expect(answer.pulls.flatMap(({ curve }) => curve).every((point) => point.predictedPowerW)).toBe(true);
    expect(answer).toEqual(reviewedLog(request).answer);
  });

  it('calls the other thread off where the log is refused', async () => {
    const { compute, given } = thread();
    const request = {
      bytes: new TextEncoder().encode('a letter'),
      name: 'letter.txt',
      build: readBuild(demo('builds/wren-as-driven.json').toString(), 'the sheet').build,
      choices: [],
      assumedRateHz: null,
    };
    await expect(reviewInTwoThreads(beginPowers(compute, request.build), request)).rejects.toThrow('letter.txt');
    expect(Atomics.load(given[0]!.state, 0)).not.toBe(0);
  });
});
