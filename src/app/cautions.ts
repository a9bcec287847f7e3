/**
 * Cautions that stand beside figures which can hurt someone. Common practice, no source: where a local code, a rule book
 * or a licensed person says otherwise, they are right.
 */
import { type Car, fuelSharesOf } from '../car/index.ts';
import { fromSi, waterMethanolFreezingPointK } from '../physics/index.ts';

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
  car && (car.facts.hasInjection || (fuelSharesOf(car)?.methanol ?? 0) > 0) ? [METHANOL] : [];

/** Beside predicted boost, mixture, timing and power. */
export const matchCautions = (car: Car): string[] => [PREDICTION, ENGINE, SPEED, ...forCar(car)];

/** Beside limits and what lifts them. */
export const headroomCautions = (car: Car): string[] => [PREDICTION, ENGINE, FUEL, ...forCar(car)];

/** Beside what was read from a log. */
export const reviewCautions = (car: Car | null): string[] => [READING, ENGINE, SPEED, ...forCar(car)];

const STRONG_FUEL =
  'Alcohols and toluene swell or dissolve some hoses, seals, filters and tank linings, and every change of blend changes the mixture: check the parts against the blend, set the engine computer for it before the first pull, and stay within what the local road law allows in a tank.';
const TOLUENE =
  'Toluene burns easily and harms when breathed or on the skin: pour it in open air with gloves and goggles, earth the cans, and keep flames and sparks away.';
const INJECTION =
  'An engine tuned for injection knocks and runs hot when the mix stops: let the engine computer take out boost and timing by itself on a low tank, a blocked nozzle or a dead pump, and try that before the first pull.';
const ICING =
  'In cold, damp air the spray can bring the charge below freezing and ice the throttle: let it begin only with a warm charge and boost, and stop it when the throttle sticks.';

const freezing = (methanolMassFraction: number): string => {
  const point = waterMethanolFreezingPointK(methanolMassFraction);
  if (!point.ok) return 'The mix stays liquid in any winter, and burns nearly like methanol itself.';
  const [celsius, fahrenheit] = [fromSi(point.value, 'degC'), fromSi(point.value, 'degF')];
  return `The mix begins to freeze at ${celsius.toFixed(0)} °C (${fahrenheit.toFixed(0)} °F), good to about 1 K when it was measured out well: below that, or where it may get there, drain tank, pump and lines, or mix in more methanol. Ice splits pumps and blocks nozzles.`;
};

/** What goes with a fuel or an injection that is only tried, by what is in it. */
export const TRIED_FUEL_CAUTIONS = {
  ethanol: [STRONG_FUEL],
  methanol: [STRONG_FUEL, METHANOL],
  toluene: [STRONG_FUEL, TOLUENE],
  injection: [METHANOL, INJECTION],
} as const satisfies Readonly<Record<string, readonly string[]>>;

/** Beside fuel and mix: fire, poison, frost, ice, and what happens when the mix stops. */
export const fuelCautions = (car: Car): string[] => {
  const shares = fuelSharesOf(car);
  const { hasInjection } = car.facts;
  const blended = shares !== null && shares.ethanol + shares.methanol + shares.toluene > 0;
  return [
    PREDICTION,
    ENGINE,
    FUEL,
    ...(blended ? [STRONG_FUEL] : []),
    ...(shares !== null && shares.toluene > 0 ? [TOLUENE] : []),
    ...(hasInjection || (shares !== null && shares.methanol > 0) ? [METHANOL] : []),
    ...(hasInjection ? [INJECTION, freezing(car.injection.methanolMassFraction), ICING] : []),
  ];
};
