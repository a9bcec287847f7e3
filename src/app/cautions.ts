/**
 * Cautions that stand beside figures which can hurt someone. Common practice, no source: where a local code, a rule book
 * or a licensed person says otherwise, they are right.
 */
import type { Car } from '../car/index.ts';

const PREDICTION =
  'These are predictions with a plus-minus. A figure under a rating does not promise that the part holds: leave room, and raise boost in small steps.';
const ENGINE =
  'Watch mixture and knock on every pull, and lift off at the first sign of a lean mixture or of knock. Do not advance timing beyond what a logged run has shown free of knock.';
const FUEL =
  'Fuel under pressure: let the rail pressure down before a line is opened, work in open air away from flames and sparks with an extinguisher at hand, and check for leaks at full pressure before the first start. Local fire codes and the advice of licensed people come first.';
const SPEED =
  'Full-throttle runs belong on a closed course or a strip, under its rule book, with belt, brakes and tyres checked and nobody near; never where the law of the place forbids them.';
const METHANOL =
  'Methanol is poisonous, also through the skin and as vapour, and burns with a flame that is hard to see: wear gloves and goggles, keep it away from heat, and store it as local codes ask.';
const READING =
  'A log shows only what its sensors saw. A run without findings is no promise that the next one is safe.';

const forCar = (car: Car | null): string[] =>
  car && (car.facts.hasInjection || car.facts.fuelKind === 'methanol') ? [METHANOL] : [];

/** Beside predicted boost, mixture, timing and power. */
export const matchCautions = (car: Car): string[] => [PREDICTION, ENGINE, SPEED, ...forCar(car)];

/** Beside limits and what lifts them. */
export const headroomCautions = (car: Car): string[] => [PREDICTION, ENGINE, FUEL, ...forCar(car)];

/** Beside what was read from a log. */
export const reviewCautions = (car: Car | null): string[] => [READING, ENGINE, SPEED, ...forCar(car)];
