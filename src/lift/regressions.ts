/** What a change makes worse, named. Every threshold is a house convention, no source, set to leave out what nobody feels. */
import { type Band, bandOf, type PartName } from '../match/index.ts';
import type { Gain, PartLift, PartStanding, Regression } from './types.ts';

/** Later boost, lower power and torque count when even the kindest tenth of samples has them, and by this much. */
const LATER_RPM = 75;
const LOST_SHARE = 0.02;
/** Use of a part that is worth a word: how much it has risen, and to what. */
const USE_RISEN = 0.05;
const USE_NEAR = 0.85;
/** How much wider the band of the first limit has become. */
const WIDER = 1.5;
/** Chance of being first that makes a part "now first". */
const MOSTLY = 0.5;

const width = ({ p10, p90 }: Band): number => p90 - p10;

const lost = (kind: Regression['kind'], unit: string, { before, after, gain }: Gain): Regression[] =>
  gain.p90 < 0 && -gain.p50 > LOST_SHARE * before.p50 ? [{ kind, unit, before, after, change: gain }] : [];

const chance = (standing: PartStanding | null): Band => {
  const value = standing?.chanceFirst ?? 0;
  return { p10: value, p50: value, p90: value };
};

const less = (one: Band, other: Band): Band => ({
  p10: other.p10 - one.p10,
  p50: other.p50 - one.p50,
  p90: other.p90 - one.p90,
});

const partRegressions = (parts: readonly PartLift[]): Regression[] =>
  parts.flatMap((part): Regression[] => {
    const { before, after, useGain } = part;
    if (!after) return [];
    const common = { part: part.part, unit: '1' };
    const found: Regression[] = [];
    const risen = before === null || !useGain ? after.utilisation.p50 : useGain.p50;
    if (after.utilisation.p50 >= 1 && (before === null || before.utilisation.p50 < 1)) {
      found.push({
        ...common,
        kind: 'past its limit',
        before: before?.utilisation ?? after.utilisation,
        after: after.utilisation,
        change: useGain ?? after.utilisation,
      });
    } else if (before && useGain && risen >= USE_RISEN && after.utilisation.p90 >= USE_NEAR) {
      found.push({
        ...common,
        kind: 'less headroom',
        before: before.utilisation,
        after: after.utilisation,
        change: useGain,
      });
    }
    if (after.chanceFirst >= MOSTLY && (before?.chanceFirst ?? 0) < MOSTLY) {
      found.push({
        ...common,
        kind: 'now first',
        before: chance(before),
        after: chance(after),
        change: less(chance(before), chance(after)),
      });
    }
    return found;
  });

export interface Compared {
  readonly powerW: Gain;
  readonly boostArrivalRpm: Gain | null;
  readonly powerAtFirstLimitW: Gain;
  readonly parts: readonly PartLift[];
  readonly curve: readonly { readonly engineSpeedRpm: number; readonly torqueNm: Gain }[];
}

/** The worst loss of torque over engine speed, where it is a loss in nine of ten samples. */
const torqueLost = ({ curve }: Compared): Regression[] => {
  const losses = curve.flatMap(({ engineSpeedRpm, torqueNm }) =>
    lost('less torque', 'N m', torqueNm).map((regression) => ({ ...regression, engineSpeedRpm })),
  );
  losses.sort((a, b) => a.change.p50 - b.change.p50);
  return losses.slice(0, 1);
};

/** Everything that is worse, the plain losses first. */
export const regressionsOf = (compared: Compared): Regression[] => {
  const { powerW, boostArrivalRpm, powerAtFirstLimitW, parts } = compared;
  const later: Regression[] =
    boostArrivalRpm && boostArrivalRpm.gain.p10 > 0 && boostArrivalRpm.gain.p50 >= LATER_RPM
      ? [
          {
            kind: 'later boost',
            unit: 'rpm',
            before: boostArrivalRpm.before,
            after: boostArrivalRpm.after,
            change: boostArrivalRpm.gain,
          },
        ]
      : [];
  const wider: Regression[] =
    width(powerAtFirstLimitW.after) > WIDER * width(powerAtFirstLimitW.before) && width(powerAtFirstLimitW.before) > 0
      ? [
          {
            kind: 'known less well',
            unit: 'W',
            before: powerAtFirstLimitW.before,
            after: powerAtFirstLimitW.after,
            change: powerAtFirstLimitW.gain,
          },
        ]
      : [];
  return [
    ...lost('less power', 'W', powerW),
    ...lost('less power at the first limit', 'W', powerAtFirstLimitW),
    ...later,
    ...torqueLost(compared),
    ...partRegressions(parts),
    ...wider,
  ];
};

/** Bands of a figure before and after, and of its change from sample to sample. Null where it is often missing. */
export const gainOf = (pairs: readonly (readonly [number | null, number | null])[]): Gain | null => {
  const both = pairs.filter((pair): pair is readonly [number, number] => pair[0] !== null && pair[1] !== null);
  if (both.length === 0 || both.length < 0.5 * pairs.length) return null;
  const before = bandOf(both.map(([value]) => value));
  const after = bandOf(both.map(([, value]) => value));
  const gain = bandOf(both.map(([value, then]) => then - value));
  return before && after && gain ? { before, after, gain } : null;
};

/** Parts whose use is not compared: the launch gears, where the driver decides. */
export const isLaunchTyre = (part: PartName, decides: boolean): boolean => part.startsWith('tyres') && !decides;
