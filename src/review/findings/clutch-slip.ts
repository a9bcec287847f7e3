import { confidenceBy, finding, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { ROAD_SPEEDS, slips } from './slip.ts';

export const clutchSlip: Rule = {
  id: 'clutch-slip',
  look(context) {
    const all = slips(context);
    if (!all) return lacking('engine-speed', ROAD_SPEEDS);
    return all
      .filter((slip) => slip.cause === 'clutch')
      .map((slip) =>
        finding('clutch-slip', {
          severity: 'stop',
          confidence: confidenceBy(slip.excess, slip.threshold, 2.5 * slip.threshold) - (slip.proven ? 0 : 0.15),
          startS: slip.span.startS,
          endS: slip.span.endS,
          channels: slip.channels,
          numbers: {
            slipShare: slip.excess,
            slipRpm: slip.slipRpm,
            engineSpeedRpm: slip.engineSpeedRpm,
            gear: slip.load.gear,
            accelerationMPerS2: slip.accelerationMPerS2,
            clutchTorqueCapacityNm: context.car?.driveline.clutchTorqueCapacityNm,
          },
          says: `Engine speed ran ${inRpm(slip.slipRpm)} (${inPercent(slip.excess)}) ahead of the wheels near ${inRpm(slip.engineSpeedRpm)}${slip.load.gear ? ` in gear ${slip.load.gear}` : ''}: the clutch slips.`,
          couldAlsoBe: slip.proven
            ? ['a driver riding the clutch pedal', 'oil on the lining']
            : ['wheel spin (driven wheel speed would tell)', 'oil on the lining', 'a driver riding the clutch pedal'],
          next: 'Stop full-throttle pulls in this gear: a slipping clutch burns within seconds. Check the release gear’s free play, then fit a clutch rated over the torque at this boost.',
          source: 'common practice',
        }),
      );
  },
};
