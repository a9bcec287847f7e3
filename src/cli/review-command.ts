/** `boostwright review`: apart from the other commands, whose programs it need not wait for. */
import { basename } from 'node:path';
import { beginPowers, type PowersCompute, reviewInTwoThreads } from '../app/index.ts';
import { type Options, oneFile, unitsOf } from './arguments.ts';
import { fuelSaid } from './channel-arguments.ts';
import { reviewText } from './review-text.ts';
import { buildFrom, print, reviewRequest, withReading } from './shared-parts.ts';
import type { Surroundings } from './surroundings.ts';

/** What was begun while this program was loading. */
export interface Begun {
  /** A thread that makes the powers; null where there is no build to make them with. */
  readonly compute: PowersCompute | null;
  /** The bytes of the log. */
  readonly coming: () => Promise<Uint8Array>;
}

export const review = async (options: Options, around: Surroundings, { compute, coming }: Begun): Promise<void> => {
  const units = unitsOf(options);
  const file = oneFile('review', 'a log', options);
  const sheet = options.value('build');
  const build = sheet === undefined ? null : buildFrom(sheet).build;
  const powers = compute && build && beginPowers(compute, build);
  const bytes = await coming();
  const fuel = fuelSaid(options, build !== null);
  const request = { bytes, name: basename(file), build, ...reviewRequest(options), ...(fuel ? { fuel } : {}) };
  const answer = await withReading(around, bytes, (watch) => reviewInTwoThreads(powers, request, watch));
  print(options, around, answer, () => reviewText(answer, units));
};
