import { quantileOf } from '../../logs/index.ts';
import { boostError, cameNear } from './boost-error.ts';
import { longest } from './load.ts';
import { confidenceBy, finding, inKpa, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn, slopeIn, spansWhere } from './spans.ts';

/** Over what was asked, held: a settled boost control stays within 2-3 kPa, its peaks are brief. */
const CREEP_PA = 8e3;
const CREEP_FOR_S = 0.6;
/** Without the wastegate's duty to prove it, ask for more. */
const CREEP_BLIND_PA = 12e3;
/** The control has taken its duty this far down from where it held boost, or nearly to nought: it wants less and does not get it. */
const DUTY_TAKEN_SHARE = 0.6;
const DUTY_AT_MINIMUM = 0.08;
/** The control's integral part takes this long to give up; only the end of the stretch must show it. */
const DUTY_END_S = 0.25;
/** Boost needs this long after arriving or after a shift to settle. */
const SETTLE_S = 0.8;

export const boostCreep: Rule = {
  id: 'boost-creep',
  look(context) {
    const error = boostError(context);
    const speed = context.on('engine-speed');
    if (!error || !speed)
      return lacking('manifold-pressure', 'manifold-pressure-target or build: boost target', 'engine-speed');
    const duty = context.on('wastegate-duty');
    return context.loads.flatMap((load) => {
      const arrived = cameNear(error, load, 5e3);
      if (arrived === null) return [];
      const limit = (duty ? CREEP_PA : CREEP_BLIND_PA) * context.strictness;
      const span = longest(
        spansWhere(context.timesS, (i) => error.errorPa[i]! > limit, {
          minimumS: CREEP_FOR_S,
          bridgeS: 0.15,
          from: arrived + context.samples(SETTLE_S),
          to: load.to,
        }),
      );
      if (!span) return [];
      const dutyAtEnd = duty && meanIn(duty, Math.max(span.from, span.to - context.samples(DUTY_END_S)), span.to);
      const dutyBefore = duty && quantileOf(duty.subarray(arrived, span.from + 1), 0.5);
      const taken = Math.max(DUTY_AT_MINIMUM, DUTY_TAKEN_SHARE * (dutyBefore ?? 0));
      if (dutyAtEnd !== null && dutyAtEnd > taken) return [];
      const atMinimum = dutyAtEnd !== null && dutyAtEnd <= DUTY_AT_MINIMUM;
      const rise = slopeIn(speed, error.errorPa, arrived, span.to);
      const end = meanIn(error.errorPa, Math.max(span.from, span.to - context.samples(0.3)), span.to) ?? 0;
      // Creep grows with engine speed; a spike that decays is overshoot.
      if (rise === null || rise <= 0 || end < limit) return [];
      const peak = extremeIn(error.errorPa, 'largest', span.from, span.to)!;
      const rpm = speed[span.from]!;
      return [
        finding('boost-creep', {
          severity: peak.value > 25e3 ? 'stop' : 'fix',
          confidence: duty ? confidenceBy(peak.value, CREEP_PA, 18e3) : 0.7,
          startS: span.startS,
          endS: span.endS,
          channels: [
            'manifold-pressure',
            error.from === 'channel' && 'manifold-pressure-target',
            duty && 'wastegate-duty',
            'engine-speed',
          ],
          numbers: {
            peakOverTargetPa: peak.value,
            peakManifoldPressurePa: error.manifoldPa[peak.index],
            engineSpeedRpm: speed[peak.index],
            startsAtRpm: rpm,
            risePerRpmPa: rise,
            wastegateDuty: dutyAtEnd,
          },
          says: `From ${inRpm(rpm)} boost crept to ${inKpa(peak.value)} over target${atMinimum ? ' with the wastegate asked fully open' : duty ? ' while the control opened the wastegate further and further' : ''}: the wastegate cannot pass enough gas.`,
          couldAlsoBe: [
            'a wastegate actuator too stiff or with too much preload',
            'a kinked or leaking control hose',
            'a boost target set below the actuator’s own pressure',
          ],
          next: 'Stop pulls past that engine speed. Check hose and actuator first; then enlarge or port the wastegate, or accept the boost as the lowest this exhaust allows.',
          source: 'common practice',
        }),
      ];
    });
  },
};
