/** In words: which estimate stands apart, by how much, and what usually makes it so. */
import type { Car } from '../../car/index.ts';
import type { Combined, LevelGap } from './combine.ts';
import type { PullEstimates } from './pull-estimates.ts';
import type { Method } from './unknowns.ts';

const NAMES: Readonly<Record<Method, string>> = {
  density: 'air by speed and density',
  meter: 'air by the airflow meter',
  fuel: 'fuel',
  acceleration: 'acceleration',
};

const causes = (method: Method, high: boolean, car: Car): string => {
  switch (method) {
    case 'meter':
      return high
        ? 'a leak between meter and throttle, or a meter that reads high'
        : 'the meter near its ceiling, air that goes round it, or a meter that reads low';
    case 'density':
      return high
        ? 'a pressure sensor that reads high, a charge temperature that reads low, or a filling curve set too high'
        : 'a pressure sensor that reads low or at its ceiling, a charge temperature that reads high, or a filling curve set too low';
    case 'fuel':
      return high
        ? 'injectors that flow less than the sheet says, rail pressure below what was taken, or a lambda that reads lean (a misfire does that)'
        : 'injectors that flow more than the sheet says, or a lambda that reads rich';
    case 'acceleration':
      return high
        ? 'a downhill road, a tail wind, or a car lighter than the sheet says'
        : `an uphill road, a head wind, a heavier car than the sheet says, ${car.facts.ignition === 'spark' ? 'a misfire, ' : ''}or a slipping clutch`;
  }
};

const sentence = ({ method, gap }: LevelGap, present: readonly Method[], car: Car): string => {
  const percent = Math.round(100 * Math.abs(Math.expm1(gap)));
  const others = present.filter((other) => other !== method).map((other) => NAMES[other]);
  const last = others.pop();
  const rest = others.length === 0 ? `against ${last}` : `while ${others.join(', ')} and ${last} agree`;
  return `${NAMES[method][0]!.toUpperCase()}${NAMES[method].slice(1)} ${gap > 0 ? 'high' : 'low'} by ${percent} % ${rest}: ${causes(method, gap > 0, car)}.`;
};

/** A sentence when the estimates of a pull do not agree within their errors, else null. */
export const disagreementOf = (all: Combined, car: Car, { cells }: PullEstimates): string | null => {
  const present = [...new Set(cells.map(({ method }) => method))];
  if (all.outlier) return sentence(all.outlier, present, car);
  if (!all.divided) return null;
  const gaps = [...all.gaps].sort((a, b) => Math.abs(b.gap / b.sd) - Math.abs(a.gap / a.sd));
  const worst = gaps[0];
  if (!worst) return null;
  const percent = Math.round(100 * Math.abs(Math.expm1(worst.gap)));
  return `The estimates lie up to ${percent} % apart and nothing says which is right: ${NAMES[worst.method]} is ${worst.gap > 0 ? 'highest' : 'lowest'}; it may be ${causes(worst.method, worst.gap > 0, car)}.`;
};
