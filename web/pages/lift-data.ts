/** A change of parts in reading units and in sentences. */
import type { LiftComparisonView, LiftSearchView } from '../../src/app/lift-api.ts';
import type { FirstLimit, LiftSet, PartLift, Regression } from '../../src/lift/types.ts';
import { powerEnds } from '../charts/ledger.ts';
import { type Units, writeNumber } from '../state/units.ts';
import { rowName } from './part-marks.ts';

type Band = { readonly p10: number; readonly p50: number; readonly p90: number };

export const halfOf = (band: Band): number => (band.p90 - band.p10) / 2;

export const writePrice = (price: number, currency: string): string =>
  `${writeNumber(price, Number.isInteger(price) ? 0 : 2)} ${currency}`;

/** "+12 kW ±20". */
const writeGain = (units: Units, kind: 'power' | 'torque', gain: Band): string =>
  `${gain.p50 > 0 ? '+' : ''}${units.write(kind, gain.p50)} ${units.label(kind)} ±${units.writeSpread(kind, halfOf(gain))}`;

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
const ofHundred = (chance: number): string => `${Math.round(100 * chance)} of 100`;

/** "clutch in 46 of 100 samples". */
export const firstInWords = (first: readonly FirstLimit[]): string => {
  const [one] = first;
  return one ? `${lower(rowName(one.part))}, in ${ofHundred(one.chance)} samples` : 'nothing within reach of the model';
};

/** One sentence a builder could repeat aloud. */
export const comparisonSentence = (view: LiftComparisonView, units: Units): string => {
  const { powerAtFirstLimitW: limit, first, cost } = view;
  if (view.changes.length === 0 && view.facts.length === 0) return 'The two sheets say the same: nothing is gained.';
  const doubt =
    limit.gain.p10 > 0 || limit.gain.p90 < 0 ? '' : limit.gain.p10 < 0 ? '; it may be a loss' : '; it may be nothing';
  const gain = `${writeGain(units, 'power', limit.gain)} before the first part gives out`;
  const money =
    cost && cost.total > 0
      ? ` ${writePrice(cost.total, cost.currency)}${cost.unpriced.length > 0 ? ', not all of it priced' : ''}.`
      : '';
  const now = first.after[0]?.part;
  const was = first.before[0]?.part;
  const then =
    now === was && now !== undefined
      ? `Still first: ${firstInWords(first.after)}.`
      : `First then: ${firstInWords(first.after)}.`;
  return `${gain}${doubt}. ${then}${money}`;
};

export const searchSentence = (view: LiftSearchView, units: Units): string => {
  const { outcome, target, currency } = view;
  const wanted = `${units.write('power', target.powerW)} ${units.label('power')} in ${ofHundred(target.chance)} cases`;
  if (outcome.reached) {
    const { price, parts, first } = outcome.cheapest;
    return parts.length === 0
      ? `${wanted} is there with what is fitted. First then: ${firstInWords(first)}.`
      : `${wanted} from ${writePrice(price, currency)}. First then: ${firstInWords(first)}.`;
  }
  const short = `${units.write('power', outcome.shortW)} ${units.label('power')}`;
  if (outcome.reason === 'no usable set') return 'No set of these parts makes a usable build.';
  return outcome.reason === 'no set reaches the target'
    ? `No set of these parts reaches ${units.write('power', target.powerW)} ${units.label('power')} before something gives out; the best falls ${short} short.`
    : `No set of these parts reaches ${wanted}; the best falls ${short} short.`;
};

/** What a power asked for with the front's chance costs: the first set of the front that is sure of it. */
export const cheapestAt = (front: readonly LiftSet[], powerW: number): number =>
  front.findIndex(({ surePowerW }) => surePowerW >= powerW);

/** Figures of what gets worse, in the reader's units. */
export const writeRegression =
  (units: Units) =>
  (value: number, unit: Regression['unit']): string => {
    if (unit === 'W') return `${units.write('power', value)} ${units.label('power')}`;
    if (unit === 'N m') return `${units.write('torque', value)} ${units.label('torque')}`;
    return unit === 'rpm' ? `${writeNumber(value, 0)} rpm` : `${writeNumber(100 * value, 0)} %`;
  };

/** Rows worth a drawing: those that decide on either side, or whose use changes, or that pass their limit. */
export const drawnParts = (parts: readonly PartLift[]): PartLift[] =>
  parts.filter(({ part, before, after, useGain }) => {
    if (part.startsWith('tyres') && !(before?.decides || after?.decides)) return false;
    const nears = Math.max(before?.utilisation.p90 ?? 0, after?.utilisation.p90 ?? 0) >= 0.8;
    const moves = useGain === undefined || Math.abs(useGain.p50) >= 0.02;
    return before?.powerAtLimitW !== undefined || after?.powerAtLimitW !== undefined || (nears && moves);
  });

/** Ends of the power axis of a comparison [W]. */
export const comparisonEnds = (view: LiftComparisonView): [number, number] => {
  const bands = view.parts.flatMap(({ before, after }) => [
    ...(before?.powerAtLimitW ? [before.powerAtLimitW] : []),
    ...(after?.powerAtLimitW ? [after.powerAtLimitW] : []),
  ]);
  return powerEnds(bands, view.powerW.before.p50);
};

/** Names of the parts that have given out at a crank power, on one side. */
export const givenOutAt = (parts: readonly PartLift[], side: 'before' | 'after', powerW: number): string[] =>
  parts
    .filter((part) => (part[side]?.powerAtLimitW?.p50 ?? Number.POSITIVE_INFINITY) <= powerW)
    .map(({ part }) => lower(rowName(part)));
