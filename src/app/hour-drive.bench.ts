/** For the bench: an hour's drive of a car as a log of sixty columns, warm-up, town, road and full-throttle pulls. */
import { type Car, resolveBuild } from '../car/index.ts';
import { type MatchPoint, matchCar, STANDARD_CONDITIONS, usualEngineSpeedsRpm } from '../match/index.ts';
import { readBuild } from './builds.ts';

export interface HourDrive {
  readonly lengthS: number;
  readonly rateHz: number;
  readonly pulls: number;
  /** Only columns whose name begins with one of these; all sixty when absent. */
  readonly only?: readonly string[];
}

/** What the car does at a moment; SI, engine speed in rpm. */
interface Moment {
  readonly timeS: number;
  readonly rpm: number;
  readonly speedMPerS: number;
  readonly accelerationMPerS2: number;
  readonly gear: number;
  readonly pedal: number;
  readonly clutchOpen: boolean;
  readonly manifoldPa: number;
  /** 0 no boost .. 1 all of the asked boost. */
  readonly boosted: number;
  readonly coolantK: number;
  readonly oilK: number;
  readonly chargeK: number;
}

type Do = 'stand' | 'hold' | 'pull' | 'coast' | 'brake' | 'shift';
interface Leg {
  readonly act: Do;
  readonly seconds: number;
  readonly gear: number;
  /** Road speed to hold [m/s]. */
  readonly speed?: number;
}

const GRAVITY = 9.80665;
const OUTSIDE_PA = STANDARD_CONDITIONS.ambientPressurePa;
const OUTSIDE_K = STANDARD_CONDITIONS.ambientTemperatureK;
const SUBSTEPS = 20;
/** From nothing to asked boost [s]. */
const SPOOL_S = 0.55;

/** Repeatable noise of about the given size, from the time alone. */
const noise = (size: number, seed: number, timeS: number): number =>
  size * (Math.sin(37.7 * timeS + seed) + 0.6 * Math.sin(91.3 * timeS + 2 * seed) + 0.4 * Math.sin(7.1 * timeS * seed));

/** One lap: road, a pull (every second one through two gears), coasting, and every third time a stop. */
const lapLegs = (lap: number, lapS: number): Leg[] => {
  const twoGears = lap % 2 === 1;
  const stop: Leg[] =
    lap % 3 === 2
      ? [
          { act: 'brake', seconds: 6, gear: 2 },
          { act: 'stand', seconds: 14, gear: 0 },
          { act: 'hold', seconds: 5, gear: 1, speed: 6 },
          { act: 'hold', seconds: 6, gear: 2, speed: 12 },
        ]
      : [];
  const pull: Leg[] = twoGears
    ? [
        { act: 'hold', seconds: 8, gear: 2, speed: 12 },
        { act: 'pull', seconds: 3.6, gear: 2 },
        { act: 'shift', seconds: 0.4, gear: 0 },
        { act: 'pull', seconds: 4.2, gear: 3 },
      ]
    : [
        { act: 'hold', seconds: 8, gear: 3, speed: 15.5 },
        { act: 'pull', seconds: 7.6, gear: 3 },
      ];
  const legs: Leg[] = [
    ...stop,
    ...pull,
    { act: 'coast', seconds: 9, gear: 3 },
    { act: 'hold', seconds: 10, gear: 3, speed: 17 },
  ];
  const used = legs.reduce((sum, { seconds }) => sum + seconds, 0);
  return [{ act: 'hold', seconds: Math.max(1, lapS - used), gear: 5, speed: 21 + (lap % 4) }, ...legs];
};

const curveOf = (points: readonly MatchPoint[], read: (point: MatchPoint) => number) => (rpm: number) => {
  const last = points.length - 1;
  let at = 1;
  while (at < last && points[at]!.engineSpeedRpm < rpm) at++;
  const [low, high] = [points[at - 1]!, points[at]!];
  const share = Math.min(1, Math.max(0, (rpm - low.engineSpeedRpm) / (high.engineSpeedRpm - low.engineSpeedRpm)));
  return read(low) + share * (read(high) - read(low));
};

const momentsOf = (car: Car, full: ReturnType<typeof fullOf>, drive: HourDrive): Moment[] => {
  const warmS = Math.min(240, drive.lengthS / 4);
  const lapS = (drive.lengthS - warmS) / drive.pulls;
  const legs: Leg[] = [
    { act: 'stand', seconds: warmS / 4, gear: 0 },
    { act: 'hold', seconds: warmS / 4, gear: 2, speed: 9 },
    { act: 'hold', seconds: warmS / 2, gear: 4, speed: 15 },
    ...Array.from({ length: drive.pulls }, (_, lap) => lapLegs(lap, lapS)).flat(),
  ];
  const rpmPerMPerS = (gear: number) =>
    (car.facts.gearRatios[gear - 1]! * car.driveline.finalDrive * 30) / (Math.PI * car.tyres.rollingRadiusM);
  const idle = car.engine.idleSpeedRpm;
  const stepS = 1 / drive.rateHz / SUBSTEPS;
  const out: Moment[] = [];
  let speed = 0;
  let rpm = idle;
  let boosted = 0;
  let coolantK = OUTSIDE_K + 3;
  let chargeK = OUTSIDE_K;
  let ends = 0;
  let leg = -1;
  const rows = Math.round(drive.lengthS * drive.rateHz);
  for (let row = 0; row < rows; row++) {
    const timeS = row / drive.rateHz;
    while (leg + 1 < legs.length && timeS >= ends - 1e-9) {
      leg++;
      ends += legs[leg]!.seconds;
    }
    const { act, gear, speed: held = 0 } = legs[leg]!;
    const mass = car.body.massKg * 1.06;
    const dragN = () =>
      0.5 * 1.225 * car.body.dragAreaM2 * speed * speed + car.body.massKg * GRAVITY * car.body.rollingResistance;
    let acceleration = 0;
    let pedal = 0;
    for (let sub = 0; sub < SUBSTEPS; sub++) {
      const pulling = act === 'pull' && rpm < car.engine.revLimitRpm - 350;
      boosted = Math.min(1, Math.max(0, boosted + (pulling ? stepS / SPOOL_S : -stepS / 0.2)));
      if (pulling) {
        pedal = 1;
        const share = 0.45 + 0.55 * boosted;
        const turning = car.engine.inertiaKgM2 * ((rpmPerMPerS(gear) * Math.PI) / 30) ** 2;
        acceleration =
          ((full.powerW(rpm) * share * car.driveline.efficiency) / Math.max(3, speed) - dragN()) / (mass + turning);
      } else if (act === 'hold') {
        acceleration = Math.min(1.5, Math.max(-2, (held - speed) * 0.5));
        pedal = 0.12 + 0.005 * speed + 0.12 * Math.max(0, acceleration);
      } else if (act === 'brake') acceleration = speed > 0.1 ? -3.5 : 0;
      else if (act === 'stand') acceleration = speed > 0.1 ? -2 : 0;
      else acceleration = -dragN() / mass - (act === 'coast' ? 0.5 : 0);
      speed = Math.max(0, speed + acceleration * stepS);
      const wanted = gear > 0 ? Math.max(idle, speed * rpmPerMPerS(gear)) : act === 'shift' ? rpm - 3500 * stepS : idle;
      // Clutch: engine speed closes in on the wheels.
      rpm += (wanted - rpm) * Math.min(1, stepS / (act === 'pull' ? 0.03 : 0.12));
      coolantK += ((rpm > 0 ? 363 : OUTSIDE_K) - coolantK) * (stepS / 220);
      const chargeWanted = OUTSIDE_K + 6 + (pedal === 1 ? boosted * (full.chargeK(rpm) - OUTSIDE_K - 6) : 0);
      chargeK += (chargeWanted - chargeK) * (stepS / 4);
    }
    const light = act === 'coast' || act === 'brake' || act === 'shift' ? 24e3 : 30e3 + 45e3 * Math.min(1, pedal * 2);
    out.push({
      timeS,
      rpm,
      speedMPerS: speed,
      accelerationMPerS2: acceleration,
      gear,
      pedal,
      clutchOpen: act === 'shift' || act === 'stand',
      manifoldPa:
        pedal === 1 ? 0.95 * OUTSIDE_PA + boosted * (full.manifoldPa(rpm) - 0.95 * OUTSIDE_PA) : Math.min(light, 95e3),
      boosted: pedal === 1 ? boosted : 0,
      coolantK,
      oilK: coolantK + 4,
      chargeK,
    });
  }
  return out;
};

const fullOf = (car: Car) => {
  const { points } = matchCar(car, STANDARD_CONDITIONS, { engineSpeedsRpm: usualEngineSpeedsRpm(car, 60) });
  const of = (read: (point: MatchPoint) => number) => curveOf(points, read);
  return {
    powerW: of((point) => point.powerW),
    manifoldPa: of((point) => point.manifoldPressurePa),
    targetPa: of((point) => point.boostTargetPa),
    chargeK: of((point) => point.chargeTemperatureK),
    volumetricEfficiency: of((point) => point.volumetricEfficiency),
    exhaustPa: of((point) => point.exhaustPressurePa),
    exhaustK: of((point) => point.exhaustTemperatureK),
    compressorPa: of((point) => point.compressorOutletPressurePa),
    compressorK: of((point) => point.compressorOutletTemperatureK),
    shaftRpm: of((point) => point.shaftSpeedRpm),
    lambda: of((point) => point.lambda),
    sparkDeg: of((point) => point.sparkAdvanceDeg),
    duty: of((point) => point.injectorDuty),
    wastegate: of((point) => point.wastegateOpening),
  };
};

type Cell = (moment: Moment) => number;
/** Header, decimals, rounds a second at which it is fresh, reading. */
type Columns = readonly (readonly [string, number, number, Cell])[];

const columnsOf = (car: Car, full: ReturnType<typeof fullOf>): Columns => {
  const air: Cell = ({ rpm, manifoldPa, chargeK }) =>
    (full.volumetricEfficiency(rpm) * car.engine.displacementM3 * rpm * manifoldPa) / (120 * 287.05 * chargeK);
  const lambda: Cell = ({ rpm, boosted }) => 1 + boosted * (full.lambda(rpm) - 1);
  const between = (light: number, at: (rpm: number) => number): Cell => {
    return ({ rpm, boosted }) => light + boosted * (at(rpm) - light);
  };
  const duty: Cell = (moment) =>
    (((air(moment) / lambda(moment)) * full.duty(moment.rpm)) / airAtFull(moment)) * full.lambda(moment.rpm);
  const airAtFull: Cell = ({ rpm }) =>
    (full.volumetricEfficiency(rpm) * car.engine.displacementM3 * rpm * full.manifoldPa(rpm)) /
    (120 * 287.05 * full.chargeK(rpm));
  const wobble = (read: Cell, size: number, seed: number): Cell => {
    return (moment) => read(moment) + noise(size, seed, moment.timeS);
  };
  const celsius = (read: Cell, size: number, seed: number): Cell => wobble((one) => read(one) - 273.15, size, seed);
  const kPa = (read: Cell, size: number, seed: number): Cell => wobble((one) => read(one) / 1e3, size, seed);
  const known: Columns = [
    ['Engine Speed (rpm)', 0, 20, wobble(({ rpm }) => rpm, 4, 1)],
    ['Vehicle Speed (km/h)', 1, 20, wobble(({ speedMPerS }) => 3.6 * speedMPerS, 0.05, 2)],
    ['Undriven Wheel Speed (km/h)', 1, 20, wobble(({ speedMPerS }) => 3.55 * speedMPerS, 0.05, 3)],
    ['Driven Wheel Speed (km/h)', 1, 20, wobble(({ speedMPerS }) => 3.6 * speedMPerS, 0.05, 4)],
    ['GPS Speed (km/h)', 1, 10, wobble(({ speedMPerS }) => 3.55 * speedMPerS, 0.08, 5)],
    ['Throttle (%)', 1, 20, wobble(({ pedal }) => (pedal === 1 ? 98 : 100 * pedal + 2), 0.2, 6)],
    ['Pedal (%)', 1, 20, ({ pedal }) => 100 * pedal],
    ['Manifold Pressure (kPa abs)', 1, 20, kPa(({ manifoldPa }) => manifoldPa, 0.35, 7)],
    ['Boost Target (kPa abs)', 1, 20, kPa(({ rpm, pedal }) => (pedal === 1 ? full.targetPa(rpm) : OUTSIDE_PA), 0, 8)],
    ['Barometric Pressure (kPa)', 1, 1, kPa(() => OUTSIDE_PA, 0, 9)],
    ['Charge Pipe Pressure (kPa abs)', 1, 20, kPa(between(OUTSIDE_PA, full.compressorPa), 0.4, 10)],
    ['Ambient Temp (C)', 1, 1, celsius(() => OUTSIDE_K, 0.05, 11)],
    ['Air Temp Before Turbo (C)', 1, 2, celsius(() => OUTSIDE_K + 4, 0.1, 12)],
    ['Compressor Out Temp (C)', 1, 5, celsius(between(OUTSIDE_K + 14, full.compressorK), 0.2, 13)],
    ['Charge Temp (C)', 1, 5, celsius(({ chargeK }) => chargeK, 0.15, 14)],
    ['Coolant Temp (C)', 1, 2, celsius(({ coolantK }) => coolantK, 0.1, 15)],
    ['Oil Temp (C)', 1, 2, celsius(({ oilK }) => oilK, 0.1, 16)],
    ['Oil Pressure (kPa)', 0, 20, kPa(({ rpm }) => Math.min(430e3, 150e3 + 60 * rpm), 4, 17)],
    // Over the air outside; the regulator follows the manifold.
    [
      'Fuel Pressure (kPa)',
      0,
      20,
      kPa(({ manifoldPa }) => car.fuelSystem.railPressurePa + manifoldPa - OUTSIDE_PA, 2, 18),
    ],
    ['Lambda (lambda)', 3, 20, wobble(lambda, 0.004, 19)],
    ['Lambda Target (lambda)', 3, 20, lambda],
    ['Fuel Trim Short (%)', 1, 20, wobble(() => 0.6, 0.5, 20)],
    ['Fuel Trim Long (%)', 1, 2, () => 1.2],
    ['Air Flow (g/s)', 2, 20, (one) => 1e3 * air(one) * (1 + noise(0.003, 21, one.timeS))],
    [
      'Injector Pulse (ms)',
      2,
      20,
      (one) => 1e3 * (car.fuelSystem.injectorDeadTimeS + (duty(one) * 100) / Math.max(300, one.rpm)),
    ],
    ['Injector Duty (%)', 1, 20, (one) => 100 * duty(one)],
    ['Ignition Advance (deg)', 1, 20, wobble(between(30, full.sparkDeg), 0.2, 22)],
    ['Knock Retard (deg)', 1, 20, () => 0],
    ['Knock Level (V)', 2, 20, wobble(({ rpm }) => 0.2 + rpm / 2e4, 0.02, 23)],
    ['Knock Count', 0, 10, () => 0],
    ['Misfire Count', 0, 2, () => 0],
    ['Battery Voltage (V)', 2, 20, wobble(() => 14.2, 0.03, 24)],
    ['Exhaust Temp (C)', 0, 10, celsius(between(880, full.exhaustK), 2, 25)],
    ['Exhaust Back Pressure (kPa abs)', 1, 20, kPa(between(OUTSIDE_PA + 4e3, full.exhaustPa), 0.6, 26)],
    ['Turbo Speed (rpm)', 0, 20, wobble(between(14_000, full.shaftRpm), 60, 27)],
    ['Wastegate Duty (%)', 1, 20, ({ rpm, boosted }) => 100 * boosted * (0.75 - 0.4 * full.wastegate(rpm))],
    ['Gear', 0, 20, ({ gear }) => gear],
    ['Clutch Switch', 0, 20, ({ clutchOpen }) => (clutchOpen ? 1 : 0)],
    ['Longitudinal G (g)', 3, 20, wobble(({ accelerationMPerS2 }) => accelerationMPerS2 / GRAVITY, 0.004, 28)],
    ['Altitude (m)', 0, 1, wobble(() => 112, 0.2, 29)],
    ['Air Flow Frequency (Hz)', 0, 20, (one) => 2000 + 3.2e4 * air(one)],
  ];
  const own: Columns = Array.from({ length: 60 - 1 - known.length }, (_, i) => {
    const read: Cell =
      i % 3 === 0
        ? ({ rpm, pedal }) => Math.round(rpm / 500) + 16 * Math.round(10 * pedal)
        : i % 3 === 1
          ? ({ timeS, pedal }) => 40 + 20 * pedal + noise(3, i, timeS)
          : ({ timeS }) => Math.floor(timeS / (7 + i)) % 4;
    return [`Own Channel ${i + 1}`, i % 3 === 1 ? 2 : 0, 20, read] as const;
  });
  return [...known, ...own];
};

/** The log of an hour's drive, as text, and what it holds. Everything comes from formulas: it is the same each time. */
export const hourDrive = (sheet: string, drive: HourDrive): string => {
  const { car } = resolveBuild(readBuild(sheet, 'the sheet').build);
  const full = fullOf(car);
  const { only } = drive;
  const columns = columnsOf(car, full).filter(([header]) => !only || only.some((name) => header.startsWith(name)));
  const lines = [['Time (s)', ...columns.map(([header]) => header)].join(',')];
  const held = columns.map(() => '');
  momentsOf(car, full, drive).forEach((moment, row) => {
    columns.forEach(([, decimals, rateHz, read], i) => {
      // A slow channel stands still between its readings, as most loggers write it.
      if (row % Math.max(1, Math.round(drive.rateHz / rateHz)) === 0) held[i] = read(moment).toFixed(decimals);
    });
    lines.push(`${moment.timeS.toFixed(3)},${held.join(',')}`);
  });
  return `${lines.join('\n')}\n`;
};
