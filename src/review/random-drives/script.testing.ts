/** What the driver does: crank, idle, town, pulls with lifts and shifts, part throttle, hills, coast-downs, in random order. */
import type { TrueCar } from './car.testing.ts';
import type { Chance } from './chance.testing.ts';
import type { Day, Leg } from './drive.testing.ts';

export const randomDay = (chance: Chance): Day => {
  const altitudeM = chance.is(0.7) ? chance.between(0, 500) : chance.between(500, 2200);
  return {
    // ISO 2533, troposphere.
    outsidePa: 101_325 * (1 - 2.25577e-5 * altitudeM) ** 5.25588 + chance.bell(900),
    outsideK: 273.15 + chance.between(-5, 36),
    windMPerS: chance.bell(1.2),
    grade: chance.bell(0.003),
    hill: chance.is(0.3) ? chance.between(0, 0.012) : 0,
    cold: chance.is(0.15),
  };
};

/** Road speed [m/s] at an engine speed in a gear. */
const speedAt = (car: TrueCar, gear: number, rpm: number): number =>
  (rpm * Math.PI * car.tyreM) / 30 / car.gears[gear - 1]! / car.final;

export const randomScript = (car: TrueCar, day: Day, chance: Chance): Leg[] => {
  const { between, pick, is, whole } = chance;
  const legs: Leg[] = [];
  const { shiftRpm, revLimitRpm } = car.engine;
  const keyOn = is(0.35) || day.cold;
  if (keyOn) {
    legs.push({ act: 'off', seconds: between(1.5, 6) }, { act: 'crank', seconds: between(0.7, 1.4) });
    legs.push({ act: 'idle', seconds: day.cold ? between(15, 40) : between(5, 12) });
    legs.push({ act: 'launch', seconds: 4, gears: [1], speed: 6 });
    legs.push({ act: 'hold', seconds: between(4, 8), gears: [2], speed: 11 });
  } else {
    // The log begins on the road; what comes before its first second is not written.
    legs.push({ act: 'idle', seconds: 4 }, { act: 'launch', seconds: 4, gears: [1], speed: 6 });
    legs.push({ act: 'hold', seconds: 12, gears: [3], speed: 15 });
  }
  const gearNear = (speed: number): number => {
    const fits = car.gears.findIndex((_, k) => speed / speedAt(car, k + 1, 1000) < 2.6);
    return fits < 0 ? car.gears.length : fits + 1;
  };
  const cruise = (): void => {
    const speed = between(10, 30);
    legs.push({ act: 'hold', seconds: between(5, 15), gears: [gearNear(speed)], speed });
  };
  const pull = (): void => {
    const gear = pick([2, 3, 3, 3, 4].filter((one) => speedAt(car, one, shiftRpm) < 62));
    const from = Math.max(1500, Math.min(between(0.28, 0.45) * revLimitRpm, car.thresholdRpm * between(0.7, 1)));
    const speed = speedAt(car, gear, from);
    legs.push({ act: 'hold', seconds: between(7, 10), gears: [gear], speed });
    const several = is(0.4) && speedAt(car, gear + 1, shiftRpm) < 62;
    legs.push({
      act: 'pull',
      seconds: 16,
      gears: several ? [gear, gear + 1] : [gear],
      untilRpm: several || is(0.7) ? shiftRpm : between(0.72, 0.95) * shiftRpm,
    });
    legs.push({ act: 'coast', seconds: between(2, 9) });
  };
  const stop = (): void => {
    legs.push({ act: 'brake', seconds: 14, speed: 0 }, { act: 'idle', seconds: between(4, 20) });
    legs.push({ act: 'launch', seconds: 4, gears: [1], speed: 6 }, { act: 'hold', seconds: 6, gears: [2], speed: 12 });
  };
  const part = (): void => {
    const gear = pick([2, 3, 4]);
    legs.push({ act: 'hold', seconds: 6, gears: [gear], speed: speedAt(car, gear, between(0.28, 0.42) * revLimitRpm) });
    legs.push({
      act: 'part',
      seconds: between(3, 8),
      gears: [gear],
      pedal: between(0.35, 0.9),
      untilRpm: between(0.6, 0.9) * shiftRpm,
    });
    legs.push({ act: 'coast', seconds: between(1, 5) });
  };
  const neutral = (): void => {
    legs.push(
      { act: 'hold', seconds: 14, gears: [car.gears.length], speed: between(24, 32) },
      { act: 'neutral', seconds: between(15, 30) },
    );
    legs.push({ act: 'hold', seconds: 8, gears: [4], speed: 17 });
  };
  const town = is(0.12);
  const pulls = town ? 0 : whole(1, 3);
  const acts = [
    ...Array.from({ length: pulls }, () => pull),
    ...Array.from({ length: whole(1, 3) }, () => cruise),
    ...(is(0.5) || town ? [stop] : []),
    ...(is(0.5) ? [part] : []),
    ...(town ? [stop] : []),
    ...(is(0.1) ? [neutral] : []),
  ];
  // Shuffled (Fisher-Yates).
  for (let i = acts.length - 1; i > 0; i--) {
    const j = whole(0, i);
    [acts[i], acts[j]] = [acts[j]!, acts[i]!];
  }
  for (const act of acts) act();
  legs.push({ act: 'hold', seconds: between(2, 5), gears: [4], speed: 16 });
  return legs;
};

/** Seconds at the beginning of a drive that are not logged. */
export const unloggedS = (legs: readonly Leg[]): number => (legs[0]!.act === 'off' ? 0 : 9);
