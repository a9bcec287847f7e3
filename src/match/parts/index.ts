/** All rows that a car's ledger has. */
import type { Car } from '../../car/index.ts';
import { AIR_SIDE } from './air-side.ts';
import { drivelineParts } from './driveline.ts';
import { ENGINE_BLOCK } from './engine-block.ts';
import { EXHAUST_SIDE } from './exhaust-side.ts';
import { FUEL_SIDE } from './fuel-side.ts';
import { INSTRUMENTS } from './instruments.ts';
import type { Part } from './part.ts';

export { tyreForces } from './driveline.ts';
export { idleOpenTimeS } from './fuel-side.ts';
export type { Part, PartLoad } from './part.ts';

/** A part of one car, with whether it counts as giving out first. */
export type CarPart = Part & { readonly counts: boolean };

/** The parts that a car has, in a fixed order. `typed`: paths of the build sheet that somebody filled in. */
export const partsOf = (car: Car, typed: ReadonlySet<string>): readonly CarPart[] =>
  [...AIR_SIDE, ...EXHAUST_SIDE, ...FUEL_SIDE, ...INSTRUMENTS, ...ENGINE_BLOCK, ...drivelineParts(car)]
    .filter((part) => part.applies(car, typed))
    .map((part) => ({
      ...part,
      counts: part.counts === 'when typed' ? typed.has(part.ratingPath ?? '') : part.counts,
    }));
