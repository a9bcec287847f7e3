import { expect, test } from 'vitest';
import { sharesOf } from './shares.ts';
import { Cancelled, inPieces } from './watch.ts';

const piece = async ({ from, to }: { from: number; to: number }) => {
  await new Promise((done) => setTimeout(done, (from % 7) + 1));
  return Array.from({ length: to - from }, (_, i) => from + i);
};

test('pieces come back in order whatever finished first, and progress only grows to all', async () => {
  const heard: number[] = [];
  const answer = await inPieces(sharesOf(500), piece, { progress: (done, of) => heard.push(done / of) });
  expect(answer).toEqual(Array.from({ length: 500 }, (_, i) => i));
  expect(heard[0]).toBe(0);
  expect(heard.at(-1)).toBe(1);
  expect([...heard].sort((a, b) => a - b)).toEqual(heard);
});

test('a cancel is answered at once and nothing new begins', async () => {
  const stop = new AbortController();
  let begun = 0;
  let settle = () => {};
  const stuck = new Promise<void>((done) => {
    settle = done;
  });
  const work = inPieces(
    sharesOf(500),
    async (share) => {
      begun += 1;
      await stuck;
      return piece(share);
    },
    { signal: stop.signal },
  );
  await Promise.resolve();
  stop.abort();
  await expect(work).rejects.toBeInstanceOf(Cancelled);
  const then = begun;
  settle();
  await new Promise((done) => setTimeout(done, 20));
  expect(begun).toBe(then);
});

test('a failure of one piece is the failure of all', async () => {
  const failing = async ({ from }: { from: number; to: number }): Promise<number[]> => {
    if (from > 0) throw new Error('broken');
    return [1];
  };
  await expect(inPieces(sharesOf(100), failing)).rejects.toThrow('broken');
  await expect(inPieces(sharesOf(100), failing, { signal: new AbortController().signal })).rejects.toThrow('broken');
});

test('shares cover the samples without gap or overlap, none long', () => {
  for (const samples of [1, 7, 16, 200, 512, 2000, 4000]) {
    const shares = sharesOf(samples);
    expect(shares[0]?.from).toBe(0);
    expect(shares.at(-1)?.to).toBe(samples);
    shares.slice(1).forEach((share, i) => {
      expect(share.from).toBe(shares[i]!.to);
    });
    expect(Math.max(...shares.map(({ from, to }) => to - from))).toBeLessThanOrEqual(Math.max(64, samples / 4 + 1));
  }
});
