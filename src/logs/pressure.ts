/** Pressures without a unit or a reference: unit by plausible range and by the company of the file, gauge or absolute by physics. */
import type { Unit } from '../physics/units.ts';
import { type Candidate, weigh, writtenToSi } from './candidates.ts';
import { atLightLoad } from './light-load.ts';
import { KINDS } from './quantities.ts';
import { ask, firstOf, readsFromTo } from './questions.ts';
import { quantileOf } from './sampling.ts';
import type { ChannelName, PressureReference } from './types.ts';

const SYSTEMS: readonly Unit[] = ['kPa', 'bar', 'psi', 'mbar', 'inHg', 'MPa', 'Pa'];

interface Usual {
  /** Ranges [Pa] of the 1st and the 99th percentile of a log, absolute, then of the same as gauge. */
  readonly low: readonly [number, number];
  readonly high: readonly [number, number];
  readonly gauge?: { readonly low: readonly [number, number]; readonly high: readonly [number, number] };
}

/** Ranges of the extremes that road cars reach; common practice, no source. */
const USUAL: Readonly<Partial<Record<ChannelName, Usual>>> = {
  'manifold-pressure': {
    low: [14e3, 105e3],
    high: [38e3, 400e3],
    gauge: { low: [-88e3, -25e3], high: [-65e3, 300e3] },
  },
  'manifold-pressure-target': {
    low: [55e3, 330e3],
    high: [70e3, 400e3],
    gauge: { low: [-40e3, 230e3], high: [-5e3, 300e3] },
  },
  'barometric-pressure': { low: [60e3, 108e3], high: [60e3, 108e3] },
  'compressor-outlet-pressure': {
    low: [55e3, 110e3],
    high: [68e3, 420e3],
    gauge: { low: [-12e3, 5e3], high: [-3e3, 320e3] },
  },
  'exhaust-pressure': {
    low: [60e3, 140e3],
    high: [72e3, 700e3],
    gauge: { low: [-4e3, 40e3], high: [0.2e3, 600e3] },
  },
  'oil-pressure': { low: [0, 450e3], high: [90e3, 900e3] },
  'fuel-pressure': { low: [0, 25e6], high: [180e3, 40e6] },
  'injection-pressure': { low: [-5e3, 1.2e6], high: [0, 2.5e6] },
};

/** Units lie factors apart: a reading under a range by one of them counts so much for every factor of e. */
const PER_FACTOR = 2.5;

/** Penalty of a reading outside its range: 0 inside, growing with the distance in multiples of the range's width, and with the factor it lies below. */
const outside = (value: number, [low, high]: readonly [number, number]): number => {
  if (value >= low && value <= high) return 0;
  const scale = Math.max(Math.abs(low), Math.abs(high), 1) * 0.15;
  const apart = value > 0 && value < low ? PER_FACTOR * Math.log(low / value) : 0;
  return Math.min(6, Math.max(apart, (value < low ? low - value : value - high) / scale));
};

/** Difference [Pa] between a log's low and high end that most logs pass; read in a unit that is too large, a log is flatter. */
const USUAL_SPAN_PA: Readonly<Partial<Record<ChannelName, number>>> = {
  'manifold-pressure': 20e3,
  'manifold-pressure-target': 12e3,
  'compressor-outlet-pressure': 8e3,
  'exhaust-pressure': 8e3,
  'oil-pressure': 50e3,
};

const tooFlat = (channel: ChannelName, spanPa: number): number => {
  const usual = USUAL_SPAN_PA[channel];
  return usual !== undefined && spanPa > 0 && spanPa < usual ? Math.min(1.5, 0.6 * Math.log(usual / spanPa)) : 0;
};

interface Reading {
  readonly penalty: number;
  readonly reference: PressureReference;
}

const readAs = (candidate: Candidate, unit: Unit): Reading => {
  const usual = USUAL[candidate.channel]!;
  const asUnit: Candidate = { ...candidate, unit: { unit, scale: 1 } };
  const low = writtenToSi(asUnit, candidate.marks.low);
  const high = writtenToSi(asUnit, candidate.marks.high);
  const flat = tooFlat(candidate.channel, high - low);
  const absolute = outside(low, usual.low) + outside(high, usual.high) + flat;
  if (!usual.gauge) return { penalty: absolute, reference: KINDS[candidate.channel].staysGauge ? 'gauge' : 'absolute' };
  const gauge = outside(low, usual.gauge.low) + outside(high, usual.gauge.high) + flat;
  return absolute <= gauge ? { penalty: absolute, reference: 'absolute' } : { penalty: gauge, reference: 'gauge' };
};

/** How badly a column's readings fit a unit, as gauge or as absolute, whichever fits better: 0 well, 3 and more not at all. */
export const fitOf = (candidate: Candidate, unit: Unit): number => {
  if (!USUAL[candidate.channel]) return 0;
  return readAs(candidate, unit).penalty;
};

/** Units that are asked about: those that loggers write pressures in. */
const ASKED: readonly Unit[] = ['kPa', 'bar', 'psi', 'mbar'];
/** Two units whose costs over the whole file are this near are not told apart. */
const NO_NEARER = 0.8;

/** Gives every pressure without a unit the one that the file as a whole makes likeliest. */
export const guessPressureUnits = (candidates: readonly Candidate[]): void => {
  const pressures = candidates.filter(({ channel }) => KINDS[channel].family === 'pressure');
  const unitless = pressures.filter(({ unit }) => !unit);
  if (unitless.length === 0) return;
  const cost = new Map<Unit, number>();
  for (const system of SYSTEMS) {
    let sum = 0;
    for (const candidate of unitless) sum += Math.min(4, readAs(candidate, system).penalty);
    // What is written elsewhere in the file speaks for the rest of it.
    for (const { unit } of pressures) if (unit) sum += unit.unit === system ? 0 : 0.7;
    cost.set(system, sum);
  }
  const best = SYSTEMS.reduce((a, b) => (cost.get(b)! < cost.get(a)! - 1e-9 ? b : a));
  const rivals = ASKED.filter((unit) => unit !== best && cost.get(unit)! < cost.get(best)! + NO_NEARER);
  if (rivals.length > 0) {
    const they = unitless.length === 1 ? 'is a pressure' : 'are pressures';
    ask(
      unitless,
      'open',
      `${readsFromTo(unitless)} ${they} without a unit, and the readings fit more than one.`,
      firstOf(best, rivals).map((unit) => ({ says: unit, settles: { unit } })),
    );
  }
  for (const candidate of unitless) {
    const own = SYSTEMS.reduce((a, b) => (readAs(candidate, b).penalty < readAs(candidate, a).penalty - 1e-9 ? b : a));
    const unit = readAs(candidate, best).penalty <= readAs(candidate, own).penalty + 1 ? best : own;
    candidate.unit = { unit, scale: 1 };
    candidate.unitText = unit;
    const doubt = readAs(candidate, unit).penalty;
    weigh(candidate, doubt > 1 ? 0.6 : 0.95, `read as ${unit} by its range`);
  }
};

/** Local barometer [Pa] before any manifold is judged: the barometer column's median, else the standard atmosphere. */
const roughBarometerPa = (candidates: readonly Candidate[], givenPa: number | undefined): number => {
  const column = candidates.find(({ channel, unit }) => channel === 'barometric-pressure' && unit);
  const pa = column ? writtenToSi(column, column.marks.median) : (givenPa ?? 101_325);
  return pa > 55e3 && pa < 110e3 ? pa : (givenPa ?? 101_325);
};

/**
 * Settles gauge or absolute for every pressure. Written references hold unless physics forbids them (an absolute pressure
 * below a tenth of the barometer in a manifold, or a gauge one below vacuum). Unwritten ones: a manifold that goes well
 * below zero or rests near zero is gauge; pipes and exhaust, which never fall far under the barometer, are gauge when
 * their low end is under half of it; a target follows the manifold it is nearer to.
 */
export const settleReferences = (candidates: readonly Candidate[], givenBarometerPa?: number): void => {
  const barometerPa = roughBarometerPa(candidates, givenBarometerPa);
  const pressures = candidates.filter(({ channel, unit }) => KINDS[channel].family === 'pressure' && unit);
  const againstAir: Candidate[] = [];
  for (const candidate of pressures) {
    const lowPa = writtenToSi(candidate, candidate.marks.low);
    const highPa = writtenToSi(candidate, candidate.marks.high);
    if (candidate.channel === 'barometric-pressure') {
      candidate.reference = 'absolute';
      continue;
    }
    if (KINDS[candidate.channel].staysGauge) {
      candidate.reference ??= 'gauge';
      if (
        !candidate.referenceGiven &&
        candidate.channel === 'oil-pressure' &&
        restsAtOutside(candidate, candidates, barometerPa)
      ) {
        candidate.reference = 'absolute';
        weigh(candidate, 1, 'absolute: it reads the outside air before the engine is started');
      } else if (!candidate.referenceGiven && isOpenAgainstAir(candidate, candidates, barometerPa))
        againstAir.push(candidate);
      continue;
    }
    const impossible =
      (candidate.reference === 'absolute' && lowPa < -0.02 * barometerPa) ||
      (candidate.reference === 'gauge' && lowPa < -1.05 * barometerPa);
    if (candidate.referenceGiven && !impossible) continue;
    if (candidate.referenceGiven && candidate.chosen) {
      weigh(candidate, 1, 'its readings do not fit the chosen reference');
      continue;
    }
    if (candidate.channel === 'manifold-pressure-target') continue;
    const seen =
      candidate.channel === 'manifold-pressure'
        ? manifoldReference(candidate, candidates, barometerPa)
        : lowPa < 0.5 * barometerPa
          ? 'gauge'
          : 'absolute';
    const isOpen = seen === 'absolute' && !impossible && isOpenUnderLoad(candidate, candidates, barometerPa);
    // Where the readings leave it open the name decides: "boost" is gauge by its meaning.
    const reference = isOpen && candidate.words.includes('boost') ? 'gauge' : seen;
    if (impossible) weigh(candidate, 0.6, `written ${candidate.reference} but its readings are ${reference}`);
    else weigh(candidate, 1, `${reference}: its low end is ${Math.round(lowPa / 1e3)} kPa`);
    // A boost that never goes below zero and never far above may be a gauge clipped at zero, or a car that never left vacuum.
    if (candidate.channel === 'manifold-pressure' && Math.abs(lowPa) < 0.02 * barometerPa && highPa < 0.3 * barometerPa)
      weigh(candidate, 0.8, 'no vacuum and little boost to judge it by');
    candidate.reference = reference;
    if (isOpen) askReference([candidate]);
  }
  if (againstAir.length > 0) askReference(againstAir);
  settleTargets(pressures, barometerPa);
};

const askReference = (candidates: readonly Candidate[]): void =>
  ask(
    candidates,
    'open',
    `${readsFromTo(candidates)}: gauge (against the outside air, as most senders are) or absolute (against vacuum)? The file does not say, and the readings do not tell.`,
    firstOf(candidates[0]?.reference ?? 'gauge', ['gauge', 'absolute'] as const).map((reference) => ({
      says:
        reference === 'gauge'
          ? 'gauge: nought with the engine off'
          : 'absolute: about 100 kPa (14.7 psi) with the engine off',
      settles: { reference },
    })),
  );

/**
 * An absolute reading that may as well be gauge: no row at light load shows it near or under the barometer, and as gauge
 * it stays within what cars reach (a log of nothing but a pull).
 */
const isOpenUnderLoad = (candidate: Candidate, candidates: readonly Candidate[], barometerPa: number): boolean => {
  const light = atLightLoad(candidate, candidates);
  if (light !== null) return false;
  const usual = USUAL[candidate.channel]?.gauge;
  return usual !== undefined && writtenToSi(candidate, candidate.marks.high) <= usual.high[1] && barometerPa > 0;
};

/** Readings before the start that are enough. */
const FEWEST_AT_REST = 8;
/** A sender at rest is off its nought, or its barometer, by no more than this share of the barometer. */
const AT_REST_SHARE = 0.08;

/** Oil has no pressure before the engine first turns: a sender that reads the outside air there is absolute. */
const restsAtOutside = (candidate: Candidate, candidates: readonly Candidate[], barometerPa: number): boolean => {
  const rest = beforeStartPa(candidate, candidates);
  return rest !== null && Math.abs(rest / barometerPa - 1) < AT_REST_SHARE;
};

/** Middle reading [Pa as written] before the engine first turns; null where the log has none. */
const beforeStartPa = (candidate: Candidate, candidates: readonly Candidate[]): number | null => {
  const engine = candidates.find(({ channel }) => channel === 'engine-speed');
  if (!engine) return null;
  const seen: number[] = [];
  for (let row = 0; row < engine.column.cells.length && !(engine.column.cells[row]! > 0); row++) {
    const cell = candidate.column.cells[row]!;
    if (!Number.isNaN(cell)) seen.push(writtenToSi(candidate, cell));
  }
  return seen.length >= FEWEST_AT_REST ? quantileOf(seen, 0.5) : null;
};

/** Oil, fuel or injection pressure that would be sound either way: it never falls to where only gauge can be, and the barometer is a part of it that counts. */
const isOpenAgainstAir = (candidate: Candidate, candidates: readonly Candidate[], barometerPa: number): boolean => {
  const lowPa = writtenToSi(candidate, candidate.marks.low);
  const highPa = writtenToSi(candidate, candidate.marks.high);
  if (lowPa < 0.6 * barometerPa || highPa > 4e6) return false;
  if (candidate.channel !== 'oil-pressure') return true;
  // A hot idle has one to one and a half bar of oil: the same as absolute would be next to none.
  const light = atLightLoad(candidate, candidates);
  return light === null || writtenToSi(candidate, light) > 1.5 * barometerPa;
};

/**
 * A manifold below zero is gauge; one that rests at zero is a gauge that does not show vacuum. An absolute one falls to a
 * few kilopascals on a closed throttle at high speed, never below zero. A twentieth of the readings may be drop-outs.
 */
const manifoldReference = (
  candidate: Candidate,
  candidates: readonly Candidate[],
  barometerPa: number,
): PressureReference => {
  const rest = beforeStartPa(candidate, candidates);
  if (rest !== null && Math.abs(rest) < AT_REST_SHARE * barometerPa) return 'gauge';
  const q05Pa = writtenToSi(candidate, candidate.marks.q05);
  if (q05Pa < -0.02 * barometerPa || writtenToSi(candidate, candidate.marks.low) < -0.15 * barometerPa) return 'gauge';
  return q05Pa < 0.015 * barometerPa ? 'gauge' : 'absolute';
};

const settleTargets = (pressures: readonly Candidate[], barometerPa: number): void => {
  const manifold = pressures.find(({ channel }) => channel === 'manifold-pressure');
  const manifoldHighPa = manifold
    ? writtenToSi(manifold, manifold.marks.high) + (manifold.reference === 'gauge' ? barometerPa : 0)
    : null;
  for (const target of pressures) {
    if (target.channel !== 'manifold-pressure-target') continue;
    const lowPa = writtenToSi(target, target.marks.low);
    const highPa = writtenToSi(target, target.marks.high);
    const written = target.referenceGiven ? target.reference : undefined;
    if (written === 'gauge' || (written === 'absolute' && lowPa > 0.3 * barometerPa)) continue;
    let reference: PressureReference;
    if (lowPa < 0.4 * barometerPa) reference = 'gauge';
    else if (manifoldHighPa !== null && manifold!.unit!.unit === target.unit!.unit) {
      // Low end at the barometer is an absolute target at rest; else the reading nearer to what the manifold reached.
      const atRest = Math.abs(lowPa - barometerPa) < 0.06 * barometerPa;
      const asAbsolute = Math.abs(Math.log(highPa / manifoldHighPa));
      const asGauge = Math.abs(Math.log((highPa + barometerPa) / manifoldHighPa));
      reference = atRest || asAbsolute <= asGauge ? 'absolute' : 'gauge';
    } else reference = 'absolute';
    weigh(target, 1, `${reference}: its low end is ${Math.round(lowPa / 1e3)} kPa`);
    target.reference = reference;
  }
};
