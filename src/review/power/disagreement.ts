/** In words: which of the powers stand apart, by how much, what usually makes it so, and which finding of the log says so too. */
import type { Car } from '../../car/index.ts';
import type { Finding, FindingId } from '../types.ts';
import type { Camps, Combined, LevelGap } from './combine.ts';
import type { PullEstimates } from './pull-estimates.ts';
import type { Method } from './unknowns.ts';

const NAMES: Readonly<Record<Method, string>> = {
  density: 'air by speed and density',
  meter: 'air by the airflow meter',
  fuel: 'fuel',
  acceleration: 'acceleration',
};

/** What may be the cause, what to do about it, and which findings speak for it. */
interface Cause {
  readonly what: string;
  readonly next: string;
  readonly findings: readonly FindingId[];
}

const cause = (what: string, next: string, ...findings: FindingId[]): Cause => ({ what, next, findings });

type Direction = 'high' | 'low';

/** Commonest first. Common practice, no source. */
const CAUSES: Readonly<Record<Method, Readonly<Record<Direction, readonly Cause[]>>>> = {
  meter: {
    high: [
      cause('a leak between meter and throttle', 'pressure-test the charge pipes and the cooler', 'boost-leak'),
      cause('a meter that reads high', 'check meter, its housing diameter and its scale', 'sensor-offset'),
    ],
    low: [
      cause('the meter near its ceiling', 'compare its highest reading with its range', 'airflow-meter-ceiling'),
      cause('air that goes round it, or a leak after it that sucks', 'look for joints between meter and compressor'),
      cause('a meter that reads low', 'clean the meter and check its scale', 'sensor-offset', 'sensor-stuck'),
    ],
  },
  density: {
    high: [
      cause('a pressure sensor that reads high', 'compare it with the barometer at key on', 'sensor-offset'),
      cause('a charge temperature that reads low', 'check where its sensor sits', 'sensor-stuck'),
      cause('more pressure before the turbine than was taken', 'log exhaust pressure', 'back-pressure-high'),
      cause('a filling curve on the sheet that is set too high', 'let the build learn from this log'),
    ],
    low: [
      cause(
        'a pressure sensor at its ceiling or reading low',
        'compare it with the barometer at key on, and its highest reading with its range',
        'pressure-sensor-ceiling',
        'sensor-offset',
      ),
      cause('a charge temperature that reads high', 'check where its sensor sits', 'heat-soak', 'sensor-stuck'),
      cause('a filling curve on the sheet that is set too low', 'let the build learn from this log'),
    ],
  },
  fuel: {
    high: [
      cause('rail pressure below what was taken', 'log fuel pressure through a whole pull', 'rail-pressure-droop'),
      cause('a misfire, which makes lambda read lean', 'close the plug gaps and check coils', 'misfire'),
      cause('injectors that flow less than the sheet says', 'have them flowed', 'injector-near-static'),
      cause('a lambda that reads lean', 'check the wideband and the exhaust for leaks', 'lean-under-load'),
    ],
    low: [
      cause('injectors that flow more than the sheet says', 'have them flowed'),
      cause('a lambda that reads rich', 'check the wideband in free air', 'rich-under-load'),
      cause('water-methanol that was taken to flow and did not', 'log its flow', 'injection-flow-lost'),
    ],
  },
  acceleration: {
    high: [
      cause('a downhill road or a tail wind', 'drive the same road the other way'),
      cause('a car lighter than the sheet says, or other tyres', 'weigh the car and measure the rolling radius'),
      cause('an engine that makes more of its air than the sheet says', 'let the build learn from this log'),
    ],
    low: [
      cause('a slipping clutch', 'watch engine speed over road speed in the pull', 'clutch-slip'),
      cause('spinning tyres', 'repeat it in a higher gear', 'wheel-spin'),
      cause('an uphill road or a head wind', 'drive the same road the other way'),
      cause('a car heavier than the sheet says, or other tyres', 'weigh the car and measure the rolling radius'),
      cause(
        'an engine that makes less of its air than the sheet says (late timing, misfires, back-pressure)',
        'look at timing and misfires first',
        'misfire',
        'knock',
        'back-pressure-high',
      ),
    ],
  },
};

/** A camp of more than one has causes of its own. */
const BOTH_AIR: Readonly<Record<Direction, readonly Cause[]>> = {
  high: [
    cause('air that leaves unburned through the valve overlap', 'compare with less overlap, or with lambda before it'),
    cause('an engine that makes less of its air than the sheet says', 'look at timing and misfires first', 'misfire'),
    cause('a lambda that reads rich, on an uphill road', 'check the wideband in free air', 'sensor-offset'),
  ],
  low: [
    cause(
      'pressure sensor and airflow meter both near their ends',
      'compare their highest readings with their ranges',
      'pressure-sensor-ceiling',
      'airflow-meter-ceiling',
    ),
    cause('a lambda that reads lean, on a downhill road', 'check the wideband and the exhaust for leaks', 'misfire'),
  ],
};

const BURNED: readonly Method[] = ['density', 'meter', 'fuel'];

const causesOf = (camp: readonly Method[], direction: Direction, car: Car): readonly Cause[] => {
  const [only] = camp;
  let causes: readonly Cause[];
  if (camp.length === 1 && only) causes = CAUSES[only][direction];
  else if (camp.length === 2 && camp.includes('density') && camp.includes('meter')) causes = BOTH_AIR[direction];
  else if (camp.every((method) => BURNED.includes(method))) {
    // Whatever burns is off together: the same as the road being off the other way.
    causes = CAUSES.acceleration[direction === 'high' ? 'low' : 'high'];
  } else causes = camp.flatMap((method) => CAUSES[method][direction].slice(0, 1));
  const spark = car.facts.ignition === 'spark';
  return causes.filter(({ findings }) => spark || findings.length === 0 || findings.some((id) => id !== 'misfire'));
};

/** Causes that the log speaks for first; said which finding it is. */
const told = (causes: readonly Cause[], seen: ReadonlySet<FindingId>) => {
  const speaks = (one: Cause) => one.findings.find((id) => seen.has(id));
  const ordered = [...causes.filter((one) => speaks(one)), ...causes.filter((one) => !speaks(one))];
  const list = ordered.map((one) => {
    const id = speaks(one);
    return id ? `${one.what} (the log shows it: ${id.replaceAll('-', ' ')})` : one.what;
  });
  const last = list.pop() ?? '';
  return {
    says: list.length === 0 ? last : `${list.join(', ')}, or ${last}`,
    next: ordered[0]?.next ?? '',
    findings: ordered.flatMap((one) => speaks(one) ?? []),
  };
};

const listed = (methods: readonly Method[]): string => {
  const names = methods.map((method) => NAMES[method]);
  const last = names.pop() ?? '';
  return names.length === 0 ? last : `${names.join(', ')} and ${last}`;
};
const begun = (text: string): string => `${text[0]!.toUpperCase()}${text.slice(1)}`;
const percentOf = (gap: number): number => Math.round(100 * Math.abs(Math.expm1(gap)));

/** Why the powers of a pull do not agree, and the findings that say so too. */
export interface Disagreement {
  readonly says: string;
  readonly findings: readonly FindingId[];
}

const ofOutlier = ({ method, gap }: LevelGap, present: readonly Method[], car: Car, seen: ReadonlySet<FindingId>) => {
  const others = present.filter((other) => other !== method);
  const direction = gap > 0 ? 'high' : 'low';
  const { says, next, findings } = told(causesOf([method], direction, car), seen);
  const rest = others.length === 1 ? `against ${listed(others)}` : `while ${listed(others)} agree`;
  return {
    says: `${begun(NAMES[method])} ${direction} by ${percentOf(gap)} % ${rest}: ${says}. Next: ${next}.`,
    findings,
  };
};

const ofCamps = ({ high, low, gap }: Camps, car: Car, seen: ReadonlySet<FindingId>) => {
  const [above, below] = [told(causesOf(high, 'high', car), seen), told(causesOf(low, 'low', car), seen)];
  const together = (camp: readonly Method[]) => (camp.length > 1 ? ' together' : '');
  // The side that a finding speaks for is told first.
  const first = below.findings.length > 0 && above.findings.length === 0 ? below : above;
  const causes =
    first === above
      ? `either the first too high: ${above.says}; or the second too low: ${below.says}`
      : `either the second too low: ${below.says}; or the first too high: ${above.says}`;
  return {
    says:
      `${begun(listed(high))}${together(high)} ${percentOf(gap)} % above ${listed(low)}${together(low)}, and nothing says ` +
      `which is right: ${causes}. Next: ${first.next}.`,
    findings: [...new Set([...above.findings, ...below.findings])],
  };
};

/**
 * A sentence when the powers of a pull do not agree within their errors, else null. `found`: what the review found in the
 * stretch of the pull.
 */
export const disagreementOf = (
  all: Combined,
  car: Car,
  { cells }: Pick<PullEstimates, 'cells'>,
  found: readonly Pick<Finding, 'id'>[] = [],
): Disagreement | null => {
  const present = [...new Set(cells.map(({ method }) => method))];
  const seen = new Set(found.map(({ id }) => id));
  if (all.outlier) return ofOutlier(all.outlier, present, car, seen);
  if (!all.divided) return null;
  if (all.camps) return ofCamps(all.camps, car, seen);
  const gaps = [...all.gaps].sort((a, b) => b.gap - a.gap);
  const [top, bottom] = [gaps[0], gaps.at(-1)];
  if (!top || !bottom) return null;
  return {
    says:
      `No two of the ways agree: ${listed(gaps.map(({ method }) => method))}, highest first, and nothing says which is right. ` +
      'Next: look at what was found wrong with the sensors, mend it and drive the pull again.',
    findings: [],
  };
};
