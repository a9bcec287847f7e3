import { quantileOf } from '../../logs/index.ts';
import { confidenceBy, finding, inKpa, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { runningMean, spansWhere } from './spans.ts';

/**
 * A pump on its relief valve holds pressure as speed rises (healthy logs: 0.98 of the mid-range figure and more); a share
 * like this is lost only when it draws air or bearings open.
 */
const FALL_SHARE = 0.87;
const CERTAIN_SHARE = 0.65;
const HIGH_SPEED_RPM = 4200;
/** Common practice: 10 psi per 1000 rpm. Only well under it is it a finding by itself (light oils and wide clearances run 15 % under). */
const PER_RPM_PA = 68.95;
const ABSOLUTE_SHARE = 0.65;
const LOW_FOR_S = 0.4;
/** Running with less than this is bearing damage at any speed; a hot idle stays over 70 kPa. */
const LEAST_RUNNING_PA = 40e3;
const AFTER_START_S = 4;
/** Oil thins as it heats, some 2 % of pressure per kelvin off the relief valve: only readings as hot as this are compared. */
const AS_HOT_K = 12;

export const lowOilPressure: Rule = {
  id: 'low-oil-pressure',
  look(context) {
    const oil = context.on('oil-pressure');
    const speed = context.on('engine-speed');
    if (!oil || !speed) return lacking('oil-pressure', 'engine-speed');
    const { strictness } = context;
    const smooth = runningMean(oil, context.samples(0.1));
    const oilK = context.on('oil-temperature');
    const hotK =
      oilK &&
      quantileOf(
        oilK.map((value, i) => (speed[i]! > HIGH_SPEED_RPM ? value : Number.NaN)),
        0.1,
      );
    const asHot = (i: number) => !oilK || hotK === null || !(oilK[i]! < hotK - AS_HOT_K);
    // What the pump gives once its relief valve works: the best of the mid range.
    const mid = quantileOf(
      smooth.map((value, i) => (speed[i]! >= 2200 && speed[i]! < HIGH_SPEED_RPM && asHot(i) ? value : Number.NaN)),
      0.9,
    );
    const runningSince = new Float64Array(speed.length);
    for (let i = 1; i < speed.length; i++) runningSince[i] = speed[i]! > 500 ? runningSince[i - 1]! + context.stepS : 0;
    const isLow = (i: number): boolean => {
      const rpm = speed[i]!;
      const value = smooth[i]!;
      if (runningSince[i]! > AFTER_START_S && value < LEAST_RUNNING_PA) return true;
      if (rpm > HIGH_SPEED_RPM && mid !== null && mid > 150e3 && value < (1 - (1 - FALL_SHARE) * strictness) * mid)
        return true;
      return (
        rpm > 3000 && rpm < 7000 && value < (1 - (1 - ABSOLUTE_SHARE) * strictness) * PER_RPM_PA * Math.min(rpm, 5500)
      );
    };
    return spansWhere(context.timesS, isLow, { minimumS: LOW_FOR_S, bridgeS: 1 }).map((span) => {
      let worst = span.from;
      for (let i = span.from; i < span.to; i++) if (smooth[i]! / speed[i]! < smooth[worst]! / speed[worst]!) worst = i;
      const value = smooth[worst]!;
      const rpm = speed[worst]!;
      const share = mid ? value / mid : null;
      return finding('low-oil-pressure', {
        severity: share === null || share < 0.72 ? 'stop' : 'fix',
        confidence: share === null ? 0.8 : confidenceBy(-share, -FALL_SHARE, -CERTAIN_SHARE),
        startS: span.startS,
        endS: span.endS,
        channels: ['oil-pressure', 'engine-speed', context.on('oil-temperature') && 'oil-temperature'],
        numbers: {
          oilPressureGaugePa: value,
          engineSpeedRpm: rpm,
          midRangeGaugePa: mid,
          shareOfMidRange: share,
          oilTemperatureK: context.on('oil-temperature')?.[worst],
        },
        says: `Oil pressure was ${inKpa(value)} at ${inRpm(rpm)}${mid ? ` (${inKpa(mid)} in the mid range, so ${inPercent(1 - value / mid)} lost)` : ''}: the pump draws air, or oil escapes past a bearing.`,
        couldAlsoBe: ['oil level low or sump baffling poor', 'oil too thin or too hot', 'a failing pressure sensor'],
        next: 'Switch the engine off and do not load it again. Check level and filter, measure with a mechanical gauge, and look for bearing metal in the oil.',
        source: '10 psi per 1000 rpm: common practice',
      });
    });
  },
};
