/** Units of columns that name none, other than pressures: by range, by physics that ties columns together, by the file's habits. */
import { fromSi, type Unit } from '../physics/units.ts';
import { guessAirFlow } from './air-flow-units.ts';
import { type Candidate, weigh, writtenToSi } from './candidates.ts';
import { settleMixture } from './mixture.ts';
import { KINDS } from './quantities.ts';
import { type Answer, ask, firstOf, readsFromTo } from './questions.ts';
import { quantileOf } from './sampling.ts';
import type { ChannelName, KnownGearing } from './types.ts';
import { CLEAR_HABIT, customaryLead, isCustomary, ofFamily, settle, together } from './unit-habits.ts';

/** Warm coolant and oil stand at 75 to 110 degC, 165 to 230 degF; exhaust gas passes 1050 only in degF (common practice, no source). */
const guessTemperatures = (candidates: readonly Candidate[]): void => {
  const unitless = ofFamily(candidates, 'temperature').filter(({ unit }) => !unit);
  if (unitless.length === 0) return;
  let fahrenheit = 0;
  for (const { channel, marks } of unitless) {
    if (channel === 'coolant-temperature' || channel === 'oil-temperature') {
      if (marks.high > 145) fahrenheit += 3;
      else if (marks.high > 60 && marks.high < 130) fahrenheit -= 2;
    } else if (channel === 'exhaust-temperature') {
      if (marks.high > 1100) fahrenheit += 2;
      else if (marks.high < 950) fahrenheit -= 0.5;
    } else if (marks.low > 48 && marks.low < 110) fahrenheit += 0.8;
    else if (marks.low < 30) fahrenheit -= 0.8;
  }
  fahrenheit += isCustomary(candidates) ? 1.5 : -0.5;
  const asked: Candidate[] = [];
  for (const candidate of unitless) {
    const { channel, marks } = candidate;
    const kelvin =
      channel === 'exhaust-temperature'
        ? false
        : marks.low > 233 && (channel.includes('coolant') || channel.includes('oil') ? marks.high > 265 : true);
    const unit: Unit = kelvin ? 'K' : fahrenheit > 0 ? 'degF' : 'degC';
    settle(candidate, unit, Math.abs(fahrenheit) > 1 ? 0.97 : 0.85, `read as ${unit} by the file's temperatures`);
    if (!kelvin) asked.push(candidate);
  }
  if (asked.length === 0 || Math.abs(fahrenheit) > 1) return;
  const answers: readonly Answer[] = [
    { says: '°C', settles: { unit: 'degC' } },
    { says: '°F', settles: { unit: 'degF' } },
  ];
  ask(
    asked,
    'open',
    `${readsFromTo(asked)}: temperatures without a unit, and their readings fit both °C and °F.`,
    fahrenheit > 0 ? [...answers].reverse() : answers,
  );
};

/**
 * Slope of a written speed's rate of change over a written acceleration, by least squares on quarter-second steps while
 * the car gathers or sheds speed. Null when there is too little movement.
 */
const speedPerAcceleration = (speed: Candidate, acceleration: Candidate, timeS: Float64Array): number | null => {
  const { a: v, b: g, rows } = together(speed, acceleration);
  let top = 0;
  let bottom = 0;
  let from = 0;
  let sum = 0;
  for (let i = 1; i < v.length; i++) {
    sum += g[i]!;
    const spanS = timeS[rows[i]!]! - timeS[rows[from]!]!;
    if (spanS < 0.5) continue;
    const mean = sum / (i - from);
    if (spanS < 2) {
      const rate = (v[i]! - v[from]!) / spanS;
      top += rate * mean;
      bottom += mean * mean;
    }
    from = i;
    sum = 0;
  }
  return bottom > 0 && top > 0 ? top / bottom : null;
};

const nearest = <T extends { readonly expects: number }>(options: readonly T[], seen: number): T =>
  options.reduce((best, option) =>
    Math.abs(Math.log(seen / option.expects)) < Math.abs(Math.log(seen / best.expects)) ? option : best,
  );

/** Of km/h, mph and m/s, the unit in which engine speed over road speed meets the build's gears best; null when they do not tell. */
const speedUnitByGearing = (speed: Candidate, engine: Candidate, gearing: KnownGearing): Unit | null => {
  const { a, b } = together(speed, engine);
  const misses = (unit: Unit): number => {
    const metres = { ...speed, unit: { unit, scale: 1 } };
    const away: number[] = [];
    for (let i = 0; i < a.length; i++) {
      const mPerS = writtenToSi(metres, a[i]!);
      if (mPerS < 4 || b[i]! < 1200) continue;
      away.push(Math.min(...gearing.rpmPerMPerS.map((ratio) => Math.abs(Math.log(b[i]! / mPerS / ratio)))));
    }
    return quantileOf(away, 0.5) ?? Number.NaN;
  };
  const found = (['km/h', 'mph', 'm/s'] as const)
    // A log with no driving in a unit says nothing of it.
    .flatMap((unit) => (Number.isNaN(misses(unit)) ? [] : [{ unit, miss: misses(unit) }]))
    .sort((a, b) => a.miss - b.miss);
  const [best, next] = found;
  return best && next && next.miss - best.miss >= 0.01 ? best.unit : null;
};

/** A car shifts and brakes at 2 to 10 m/s2, a fifth of a g to one g: between 1.3 and 2.5 it may be either (common practice, no source). */
const ratesOf = ({ marks }: Candidate): readonly ('m/s2' | 'gn')[] => {
  const most = Math.max(Math.abs(marks.low), Math.abs(marks.high));
  return most > 2.5 ? ['m/s2'] : most < 1.3 ? ['gn'] : ['m/s2', 'gn'];
};

const guessMovement = (
  candidates: readonly Candidate[],
  timeS: Float64Array,
  gearing: KnownGearing | undefined,
): void => {
  const speeds = ofFamily(candidates, 'speed');
  const acceleration = candidates.find(({ channel }) => channel === 'acceleration');
  const engine = candidates.find(({ channel }) => channel === 'engine-speed');
  const unitless = speeds.filter(({ unit }) => !unit);
  const lead = unitless[0];
  if (lead) {
    // Gears lie a third apart, so a slipping or lagging speed can look like the other unit: gears decide only where the file has no habit.
    const byGearing =
      gearing && gearing.rpmPerMPerS.length > 1 && engine && Math.abs(customaryLead(candidates)) < 2
        ? speedUnitByGearing(lead, engine, gearing)
        : null;
    const customary = isCustomary(candidates);
    let unit: Unit = speeds.find((speed) => speed.unit)?.unit?.unit ?? byGearing ?? (customary ? 'mph' : 'km/h');
    let [factor, reason] =
      byGearing === unit
        ? [0.98, 'by the gears of the build']
        : [0.9, `as the rest of the file is ${customary ? 'US customary' : 'metric'}`];
    const slope = acceleration && !byGearing ? speedPerAcceleration(lead, acceleration, timeS) : null;
    if (slope !== null && acceleration) {
      const options = (['km/h', 'mph', 'm/s'] as const).flatMap((speed) =>
        (acceleration.unit ? [acceleration.unit.unit] : ratesOf(acceleration)).map((rate) => ({
          speed,
          expects: (rate === 'gn' ? 9.80665 : 1) / (speed === 'km/h' ? 1 / 3.6 : speed === 'mph' ? 0.44704 : 1),
        })),
      );
      // The file's habit decides unless the acceleration clearly says otherwise.
      const own = options.filter(({ speed }) => speed === unit);
      const [best, habit] = [nearest(options, slope), nearest(own.length > 0 ? own : options, slope)];
      const miss = Math.abs(Math.log(slope / habit.expects)) - Math.abs(Math.log(slope / best.expects));
      if (miss > 0.25 && Math.abs(Math.log(slope / best.expects)) < 0.12)
        [unit, factor, reason] = [best.speed, 0.95, 'by the logged acceleration'];
      else if (miss <= 0) [factor, reason] = [0.97, 'by the logged acceleration'];
    }
    for (const speed of unitless) settle(speed, unit, factor, `read as ${unit} ${reason}`);
    // Nothing but the habit of the rest of the file speaks for it, and that is weak.
    if (factor === 0.9 && Math.abs(customaryLead(candidates)) < CLEAR_HABIT) {
      ask(
        unitless,
        'open',
        `${readsFromTo(unitless)}: road speed without a unit, and nothing in the log tells which it is.`,
        firstOf(unit, ['km/h', 'mph', 'm/s']).map((one) => ({ says: one, settles: { unit: one } })),
      );
    }
  }
  if (acceleration && !acceleration.unit) {
    const speed = speeds.find(({ unit }) => unit);
    const slope = speed ? speedPerAcceleration(speed, acceleration, timeS) : null;
    const { low, high } = acceleration.marks;
    let unit: Unit = Math.max(Math.abs(low), Math.abs(high)) > 1.6 ? 'm/s2' : 'gn';
    if (slope !== null && speed?.unit) {
      const mPerS = 1 / fromSi(1, speed.unit.unit);
      unit = nearest(
        [
          { expects: 1 / mPerS, unit: 'm/s2' as const },
          { expects: 9.80665 / mPerS, unit: 'gn' as const },
        ],
        slope,
      ).unit;
    }
    settle(acceleration, unit, 0.95, `read as ${unit} against the logged speed`);
  }
};

/** Nozzles of water-methanol pass 100 to 1500 cm3/min, 6 to 90 L/h (common practice, no source): what they reach tells, but for the overlap. */
const guessVolumeFlow = (candidate: Candidate): void => {
  const { high } = candidate.marks;
  const unit: Unit = high > 0 && high < 1.6 ? 'L/min' : high > 0 && high < 95 ? 'L/h' : 'cm3/min';
  settle(candidate, unit, unit === 'cm3/min' ? 0.95 : 0.85, `read as ${unit} by its range`);
  if (high < 40 || high > 150) return;
  ask(
    [candidate],
    'open',
    `${readsFromTo([candidate])} is a flow without a unit, and a nozzle could pass as much in either.`,
    firstOf(unit, ['L/h', 'cm3/min']).map((one) => ({ says: one, settles: { unit: one } })),
  );
};

/** Shares written 0..1, 0..255 or in per cent; trims as factors round 1 or 100; lambda or air-fuel ratio; and the rest with one usual unit. */
const guessPlain = (candidate: Candidate): void => {
  const { marks, channel } = candidate;
  const { family } = KINDS[channel];
  if (family === 'share') {
    if (marks.high <= 1.02 && marks.high > 0 && !marks.whole)
      settle(candidate, '1', 0.95, 'read as a share by its range');
    else if (marks.whole && marks.high > 130 && marks.high <= 255)
      settle(candidate, '%', 0.6, 'read as counts of 255', 100 / 255);
    else settle(candidate, '%', 0.98, 'read as % by its range');
  } else if (family === 'trim') settle(candidate, '%', 0.97, 'read as %');
  else if (family === 'rotation') {
    const thousands =
      channel === 'shaft-speed'
        ? marks.high < 400 && marks.high > 5
        : marks.high < 12 && marks.high > 0.4 && !marks.whole;
    settle(candidate, thousands ? 'krpm' : 'rpm', 0.98, `read as ${thousands ? 'krpm' : 'rpm'} by its range`);
  } else if (family === 'time') {
    const micros = marks.high > 200;
    settle(
      candidate,
      marks.high < 0.06 ? 's' : 'ms',
      0.97,
      micros ? 'read as microseconds by its range' : 'read as ms by its range',
      micros ? 1e-3 : 1,
    );
  } else if (family === 'angle') settle(candidate, 'deg', 0.99, 'read as degrees');
  else if (family === 'voltage')
    settle(candidate, channel === 'battery-voltage' && marks.median > 1000 ? 'mV' : 'V', 0.98, 'read as volts');
  else if (family === 'volume flow') guessVolumeFlow(candidate);
  else if (family === 'frequency') settle(candidate, 'Hz', 0.98, 'read as Hz');
  else if (family === 'length') settle(candidate, 'm', 0.9, 'read as m');
};

const settleTrim = (candidate: Candidate): void => {
  const { marks, unit } = candidate;
  if (!unit) return;
  const centre = writtenToSi(candidate, marks.median);
  if (centre > 0.65 && centre < 1.4 && writtenToSi(candidate, marks.low) > 0.4) {
    candidate.shiftSi = 1;
    weigh(candidate, 0.9, 'written as a factor, read as the share above 1');
  } else if (
    unit.unit === '%' &&
    marks.median > 0.65 &&
    marks.median < 1.4 &&
    marks.low > 0.4 &&
    marks.high < 1.7 &&
    candidate.unitText === '%'
  ) {
    candidate.unit = { unit: '1', scale: 1 };
    candidate.shiftSi = 1;
    weigh(candidate, 0.8, 'written as a factor, read as the share above 1');
  }
};

const settleRetard = (candidate: Candidate): void => {
  const { marks } = candidate;
  if (marks.high <= 0.05 && marks.low < -0.2) {
    candidate.negate = true;
    weigh(candidate, 0.95, 'written negative, read as degrees taken away');
  }
};

/** A written per-cent column that never passes 1 while it moves in hundredths is a share. */
const PLAIN_FAMILIES = new Set([
  'share',
  'trim',
  'rotation',
  'time',
  'angle',
  'voltage',
  'volume flow',
  'frequency',
  'length',
]);

/** Fills in every missing unit but those of pressures. `barometerPa` serves the air-flow check; times are the rows'. */
export const guessOtherUnits = (
  candidates: readonly Candidate[],
  timeS: Float64Array,
  barometerPa: number,
  gearing: KnownGearing | undefined,
): void => {
  for (const candidate of candidates) {
    if (!candidate.unit && PLAIN_FAMILIES.has(KINDS[candidate.channel].family)) guessPlain(candidate);
    if (KINDS[candidate.channel].family === 'lambda') settleMixture(candidate);
    if (KINDS[candidate.channel].family === 'trim') settleTrim(candidate);
    if (candidate.channel === 'knock-retard') settleRetard(candidate);
  }
  guessTemperatures(candidates);
  guessMovement(candidates, timeS, gearing);
  guessAirFlow(candidates, barometerPa);
};

/** Channel names whose numbers carry no unit. */
export const isCount = (channel: ChannelName): boolean => KINDS[channel].family === 'count';
