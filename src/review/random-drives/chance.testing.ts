/** Seeded chance for the random drives: everything that is drawn comes from one seed. */
import { randomOf } from '../../logs/text-styles.fixture.ts';

export interface Chance {
  /** 0 <= x < 1 */
  readonly next: () => number;
  readonly between: (low: number, high: number) => number;
  readonly whole: (low: number, high: number) => number;
  readonly pick: <T>(from: readonly T[]) => T;
  /** True with this chance. */
  readonly is: (share: number) => boolean;
  /** Bell curve about nought with this standard deviation, cut at 2.5 of them. Source: Box & Muller (1958). */
  readonly bell: (sd: number) => number;
}

export const chanceOf = (seed: number): Chance => {
  const next = randomOf(Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b));
  const between = (low: number, high: number): number => low + (high - low) * next();
  const bell = (sd: number): number => {
    const value = Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
    return sd * Math.max(-2.5, Math.min(2.5, value));
  };
  return {
    next,
    between,
    whole: (low, high) => Math.floor(between(low, high + 1)),
    pick: (from) => from[Math.floor(next() * from.length)]!,
    is: (share) => next() < share,
    bell,
  };
};
