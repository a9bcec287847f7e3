/** One random drive from seed to verdict: driven, read by sensors, written, read and reviewed as the command line does, compared with the truth. */
import { type Build, resolveBuild } from '../../car/index.ts';
import { type Channel, type Pull, readLog } from '../../logs/index.ts';
import { findAll } from '../findings/index.ts';
import { reviewLog } from '../index.ts';
import type { FindingId, Review, ReviewedPull } from '../types.ts';
import { randomCar } from './car.testing.ts';
import { chanceOf } from './chance.testing.ts';
import { type Driven, drive, KEPT_S, type TruePull } from './drive.testing.ts';
import { drawFault, type Fault } from './faults.testing.ts';
import { rightOf } from './right.testing.ts';
import { randomDay, randomScript, unloggedS } from './script.testing.ts';
import { readingsOf } from './sensors.testing.ts';
import { sheetOf } from './sheet.testing.ts';
import { drawPlan, type Written, type WrittenColumn, written } from './writing.testing.ts';

export interface Misread {
  readonly channel: string;
  readonly column: string;
  readonly as: string;
}

export interface Verdict {
  readonly seed: number;
  readonly about: string;
  readonly sheet: 'data sheets' | 'a dozen numbers' | 'none';
  readonly fault: Fault | null;
  readonly rateHz: number;
  readonly alarms: readonly { readonly id: string; readonly says: string; readonly confidence: number }[];
  readonly must: readonly FindingId[];
  readonly found: readonly FindingId[];
  readonly pulls: {
    readonly true: number;
    readonly found: number;
    readonly extra: number;
    readonly gearsRight: number;
    readonly edgesS: readonly number[];
  };
  readonly gears: { readonly right: number; readonly wrong: number; readonly untold: number };
  readonly columns: {
    readonly all: number;
    readonly misread: readonly Misread[];
    readonly unknown: readonly string[];
    readonly asked: number;
  };
  readonly power: readonly { readonly error: number; readonly inside: boolean }[];
  readonly faults: readonly string[];
}

export interface Made {
  readonly file: Written;
  readonly build: Build | null;
  readonly fault: Fault | null;
  readonly car: ReturnType<typeof randomCar>;
  readonly driven: Driven;
  readonly fromS: number;
  readonly verdictParts: {
    readonly right: ReturnType<typeof rightOf>;
    readonly about: string;
    readonly sheet: Verdict['sheet'];
    readonly outsidePa: number;
    readonly spoiled: string | null;
  };
}

/** Everything of a seed before it is read. */
export const made = (seed: number): Made => {
  const chance = chanceOf(seed);
  const car = randomCar(chance);
  const day = randomDay(chance);
  const fault = chance.is(0.5) ? drawFault(car, chance) : null;
  let legs = randomScript(car, day, chance);
  // A fault of a pull needs one.
  for (let k = 0; k < 5 && fault && !legs.some(({ act }) => act === 'pull'); k++) legs = randomScript(car, day, chance);
  const driveSeed = Math.floor(chance.next() * 1e9);
  const driven = drive(car, day, legs, chanceOf(driveSeed), fault);
  const twin = fault?.id === 'slow-spool' ? drive(car, day, legs, chanceOf(driveSeed), null) : null;
  const fromS = unloggedS(legs);
  const plan = drawPlan(fault, fromS, driven.lengthS, chance);
  const readings = readingsOf(car, day, driven, fromS, plan, fault, chance);
  const file = written(readings.reads, plan, day.outsidePa, fault, chance);
  const sheet = chance.pick(['data sheets', 'data sheets', 'data sheets', 'a dozen numbers', 'none'] as const);
  const build = sheet === 'none' ? null : sheetOf(car, chance, sheet);
  const about = `${car.fuel.kind} ${car.engine.cylinders} cyl ${(car.engine.displacementM3 * 1e3).toFixed(1)} L, ${(Math.max(...car.boost.map(([, pa]) => pa)) / 1e3).toFixed(0)} kPa, ${file.rateHz.toFixed(1)} Hz ${file.slower}`;
  const right = rightOf(car, day, driven, twin, fromS, readings, file, fault, sheet === 'data sheets');
  return {
    file,
    build,
    fault,
    car,
    driven,
    fromS,
    verdictParts: { right, about, sheet, outsidePa: day.outsidePa, spoiled: readings.spoiled?.channel ?? null },
  };
};

const gearingOf = (build: Build) => {
  const { facts, driveline, tyres } = resolveBuild(build).car;
  return {
    rpmPerMPerS: facts.gearRatios.map(
      (ratio) => (ratio * driveline.finalDrive * 60) / (2 * Math.PI * tyres.rollingRadiusM),
    ),
  };
};

/** Places of numbers that are none in plain data. */
const notFinite = (value: unknown, path: string, out: string[]): void => {
  if (out.length > 3) return;
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) out.push(`${path} is ${value}`);
  } else if (typeof value === 'string') {
    if (/NaN|Infinity|undefined|null/.test(value)) out.push(`${path} says "${value}"`);
  } else if (Array.isArray(value))
    value.forEach((one, i) => {
      notFinite(one, `${path}[${i}]`, out);
    });
  else if (typeof value === 'object' && value !== null)
    for (const [key, one] of Object.entries(value)) notFinite(one, `${path}.${key}`, out);
};

const truthIn = (pulls: readonly TruePull[], fromS: number): TruePull[] =>
  pulls.filter(({ startS }) => startS > fromS + 0.3);

/** Whether a channel's readings are those that were written, unit and reference included: their greatest part is, at its time. */
const isAsWritten = (
  column: WrittenColumn,
  channel: Channel,
  outsidePa: number,
  hasBarometer: boolean,
  logOf: (trueS: number) => number,
): boolean => {
  const { values: meant, timesS } = column.read;
  const step = Math.abs(column.unit.from(1, outsidePa) - column.unit.from(0, outsidePa));
  const rounding = step > 0 ? (0.6 * 10 ** -column.unit.decimals) / step : 0;
  // Where no barometer is logged, gauge pressures rest on a guess of it.
  const guess =
    column.channel.includes('pressure') && column.unit.reference === 'gauge' ? (hasBarometer ? 3e3 : 25e3) : 0;
  const isTemperature = column.channel.includes('temperature');
  let right = 0;
  let all = 0;
  for (let k = 0; k < channel.values.length; k += 1 + Math.floor(channel.values.length / 400)) {
    const timeS = channel.timesS[k]!;
    let low = 0;
    let high = timesS.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (logOf(timesS[middle]!) <= timeS + 2e-3) low = middle;
      else high = middle - 1;
    }
    all++;
    const seen = Math.abs(channel.values[k]!);
    // The reading of that row or, where a channel is polled, one lately before it.
    const isNear = [low, low - 1, low + 1].some((place) => {
      const one = Math.abs(meant[place] ?? Number.NaN);
      return Math.abs(seen - one) <= rounding + guess + (isTemperature ? 0.3 : 0.01 * one + 1e-9);
    });
    if (isNear) right++;
  }
  return all > 0 && right > 0.8 * all;
};

const bare = (pulls: readonly Pull[]): ReviewedPull[] =>
  pulls.map((pull) => ({ ...pull, powerW: { agree: true }, curve: [] }));

export const judge = (seed: number): Verdict => {
  const { file, build, fault, car, driven, fromS, verdictParts } = made(seed);
  const { right, about, sheet, outsidePa, spoiled } = verdictParts;
  const faults: string[] = [];
  const empty: Verdict = {
    seed,
    about,
    sheet,
    fault,
    rateHz: file.rateHz,
    alarms: [],
    must: [...right.must],
    found: [],
    pulls: { true: truthIn(driven.pulls, fromS).length, found: 0, extra: 0, gearsRight: 0, edgesS: [] },
    gears: { right: 0, wrong: 0, untold: 0 },
    columns: { all: file.columns.length, misread: [], unknown: [], asked: 0 },
    power: [],
    faults,
  };
  const read = readLog(file.bytes, {
    ...(build ? { gearing: gearingOf(build) } : {}),
    ...(car.fuel.kind === 'diesel' && !build ? { ignition: 'compression' as const } : {}),
  });
  if (!read.ok) {
    faults.push(`refused: ${read.problem.says}`);
    return empty;
  }
  const { log } = read;
  // Powers take most of the time and are wanted of few: of other drives only the findings are made.
  const resolved = build ? resolveBuild(build) : null;
  const review: Pick<Review, 'findings' | 'pulls'> =
    fault === null && seed % 2 === 0
      ? reviewLog(log, resolved)
      : { ...findAll(log, resolved, bare(log.pulls)), pulls: bare(log.pulls) };
  notFinite(review, 'review', faults);
  const told = review.findings.filter(({ severity }) => severity !== 'note');
  const alarms = told
    .filter(({ id }) => !right.may.has(id))
    .map(({ id, says, confidence }) => ({ id, says, confidence }));
  const found = [...right.must].filter((id) => review.findings.some((one) => one.id === id));

  // Pulls, in the log's time; a clock time counts from midnight.
  const isClock = file.style.time === 'clock' || file.style.time === 'date and clock';
  const midnightS = isClock ? log.startS - file.firstS : 0;
  const logOf = (trueS: number): number => file.logS(trueS) + midnightS;
  const slow = file.rateHz < 8;
  const wanted = truthIn(driven.pulls, fromS).filter(
    ({ startS, endS }) =>
      !(file.steppedAtS !== null && startS < file.steppedAtS && file.steppedAtS < endS) &&
      !(slow && endS - startS < 2 + 3 / file.rateHz),
  );
  const used = new Set<number>();
  const edgesS: number[] = [];
  let gearsRight = 0;
  let gearsTried = 0;
  const power: { error: number; inside: boolean }[] = [];
  const gears = { right: 0, wrong: 0, untold: 0 };
  for (const one of wanted) {
    const [startS, endS] = [logOf(one.startS), logOf(one.endS)];
    const at = log.pulls.findIndex((pull, k) => {
      const shared = Math.min(endS, pull.endS) - Math.max(startS, pull.startS);
      return !used.has(k) && shared > 0.5 * (endS - startS) && shared > 0.5 * (pull.endS - pull.startS);
    });
    const pull = log.pulls[at];
    if (!pull) continue;
    used.add(at);
    edgesS.push(Math.abs(pull.startS - startS), Math.abs(pull.endS - endS));
    // Gears are told by a road speed or a gear column.
    if (
      !build ||
      !log.channels.some(
        ({ channel }) =>
          channel === 'gear' ||
          channel.includes('wheel-speed') ||
          channel === 'vehicle-speed' ||
          channel === 'satellite-speed',
      )
    )
      continue;
    gearsTried++;
    if (pull.gears.join() === one.gears.join()) gearsRight++;
    for (const part of one.parts) {
      for (let timeS = part.startS + 0.2; timeS < part.endS - 0.2; timeS += 0.1) {
        const logS = logOf(timeS);
        const seen = pull.parts.find((given) => given.startS <= logS && logS <= given.endS)?.gear ?? null;
        if (seen === null) gears.untold++;
        else if (seen === part.gear) gears.right++;
        else gears.wrong++;
      }
    }
    if (sheet !== 'data sheets') continue;
    const curve = review.pulls[at]!.curve;
    const bins = new Map<string, { sum: number; n: number }>();
    for (const part of one.parts) {
      for (let k = Math.ceil((part.startS + 0.15) / KEPT_S); k < (part.endS - 0.1) / KEPT_S; k++) {
        const key = `${250 * Math.round(driven.truth.rpm[k]! / 250)} ${part.gear}`;
        const bin = bins.get(key) ?? { sum: 0, n: 0 };
        bin.sum += (driven.truth.torque[k]! * driven.truth.rpm[k]! * Math.PI) / 30;
        bin.n++;
        bins.set(key, bin);
      }
    }
    for (const point of curve) {
      const bin = bins.get(`${point.engineSpeedRpm} ${point.gear}`);
      if (!bin || bin.n < 8) continue;
      const trueW = bin.sum / bin.n;
      power.push({
        error: point.powerW.p50 / trueW - 1,
        inside: point.powerW.p10 <= trueW && trueW <= point.powerW.p90,
      });
    }
  }
  // A pull too short to count is no pull too many.
  const wholes = driven.pulls.map(({ startS, endS }) => [logOf(startS), logOf(endS)] as const);
  const isReal = (startS: number, endS: number): boolean => {
    let full = 0;
    let all = 0;
    for (let at = Math.ceil(fromS / KEPT_S); at < driven.truth.full.length; at++) {
      const timeS = logOf(at * KEPT_S);
      if (timeS < startS || timeS > endS) continue;
      all++;
      if (driven.truth.pedal[at]! > 0.93) full++;
    }
    return full > 0.5 * all || wholes.some(([from, to]) => startS < to && endS > from && file.steppedAtS !== null);
  };
  const extra = log.pulls.filter((pull, k) => !used.has(k) && !isReal(pull.startS, pull.endS)).length;

  // Columns.
  const hasBarometer = log.barometricFrom !== 'assumed';
  const misread: Misread[] = [];
  const unknown: string[] = [];
  for (const column of file.columns) {
    const named = (given: string) => given.replace(/\s+/g, ' ').trim().startsWith(column.name);
    const seen = log.channels.find(
      (one) =>
        named(one.column) &&
        !file.columns.some(
          (other) => other !== column && other.name.length > column.name.length && one.column.startsWith(other.name),
        ),
    );
    if (!seen) unknown.push(`${column.name} [${column.unit.text}] (${column.channel})`);
    else if (seen.channel !== column.channel)
      misread.push({ channel: column.channel, column: seen.column, as: seen.channel });
    else if (
      column.channel !== spoiled &&
      fault?.id !== 'clock-fault' &&
      !isAsWritten(column, seen, outsidePa, hasBarometer, logOf)
    )
      misread.push({
        channel: column.channel,
        column: seen.column,
        as: `${seen.unit} ${seen.reference ?? ''}, meant ${column.unit.text || '(none)'} ${column.unit.reference ?? ''}`,
      });
  }
  return {
    ...empty,
    alarms,
    found,
    pulls: {
      true: wanted.length,
      found: used.size,
      extra,
      gearsRight: gearsRight + used.size - gearsTried,
      edgesS,
    },
    gears,
    columns: { all: file.columns.length, misread, unknown, asked: log.questions?.length ?? 0 },
    power: fault ? [] : power,
    faults,
  };
};
