/** What two pulls share: errors that both have alike make no difference between them. */
import type { ChannelName } from '../../logs/index.ts';
import { DAY_UNKNOWNS } from './basis.ts';
import type { PowerMethod, PullBasis } from './types.ts';

export interface Common {
  /** The very same readings: nothing can differ. */
  readonly sameReadings: boolean;
  readonly sameLog: boolean;
  /** True when an unknown has one and the same value for both pulls. */
  readonly shares: (unknown: string) => boolean;
  /** True when the shape of a method's error over engine speed is the same for both. */
  readonly sharesShape: (method: PowerMethod) => boolean;
}

/** Of a log's own day, these stay for all of its pulls. */
const STAYS_IN_A_LOG: ReadonlySet<string> = new Set(['log: airDensityGain', 'log: mass of the day']);

/** Where the channel is not logged in both, a guess stands in for it, and the truth behind the guess may have changed. */
const GUESSED_WITHOUT: Readonly<Record<string, ChannelName>> = {
  'log: lambdaGain': 'lambda',
  'log: unloggedTiming': 'spark-advance',
};

export const commonOf = (first: PullBasis, second: PullBasis): Common => {
  const sameLog = first.logId === second.logId;
  const sameReadings = sameLog && first.pull === second.pull;
  const bothLogged = (name: ChannelName) => first.logged.includes(name) && second.logged.includes(name);
  const sameInput = (path: string) => first.inputs[path] !== undefined && first.inputs[path] === second.inputs[path];
  const paths = new Set([...Object.keys(first.inputs), ...Object.keys(second.inputs)]);
  const sameTurbocharger = [...paths].every((path) => !path.startsWith('turbocharger.') || sameInput(path));
  const shares = (unknown: string): boolean => {
    if (sameReadings) return true;
    if (!unknown.startsWith('log: ')) return sameInput(unknown);
    if (DAY_UNKNOWNS.has(unknown)) return sameLog && STAYS_IN_A_LOG.has(unknown);
    const channel = GUESSED_WITHOUT[unknown];
    if (channel) return sameLog || bothLogged(channel);
    if (unknown === 'log: exhaustPressureGain') return bothLogged('exhaust-pressure') || sameTurbocharger;
    return true;
  };
  const sharesShape = (method: PowerMethod): boolean => {
    if (sameReadings) return true;
    if (method === 'density') return sameInput('engine.volumetricEfficiency');
    if (method === 'fuel') return sameInput('fuelSystem.injectorFlow');
    return method === 'meter';
  };
  return { sameReadings, sameLog, shares, sharesShape };
};

/** Which is which in words: what cancels between the two, and what does not. */
export const commonWords = (
  common: Common,
  first: PullBasis,
  second: PullBasis,
): { readonly common: string[]; readonly notCommon: string[] } => {
  if (common.sameReadings) return { common: ['It is the same pull: nothing can differ.'], notCommon: [] };
  const paths = new Set([...Object.keys(first.inputs), ...Object.keys(second.inputs)]);
  const changed = [...paths].filter((path) => !common.shares(path));
  return {
    common: [
      changed.length === 0
        ? 'The car as its sheet has it: an error of the sheet makes both powers wrong alike.'
        : 'What the two build sheets have alike.',
      'The sensors, taken to be the same ones and to read as before.',
      ...(common.sameLog ? ['The air of the day and the load of the car.'] : []),
    ],
    notCommon: [
      ...(changed.length > 0 ? ['What changed in the build, each with its own plus-minus.'] : []),
      ...(common.sameLog ? [] : ['The air of each day, and the load of the car by some 15 kg.']),
      'Road and wind under each pull, and the noise of the readings.',
    ],
  };
};
