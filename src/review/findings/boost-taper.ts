import { boostError, cameNear } from './boost-error.ts';
import { confidenceBy, finding, inKpa, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn } from './spans.ts';

/** Under target at the end of the stretch: four times what a settled control leaves. */
const TAPER_PA = 12e3;
/** And by so much further under than at its best: boost that never came is late spool or a target out of reach. */
const FALL_PA = 8e3;
const DUTY_AT_MAXIMUM = 0.9;
const END_S = 0.5;
const THROTTLE_OPEN = 0.93;

export const boostTaper: Rule = {
  id: 'boost-taper',
  look(context) {
    const error = boostError(context);
    const speed = context.on('engine-speed');
    if (!error || !speed)
      return lacking('manifold-pressure', 'manifold-pressure-target or build: boost target', 'engine-speed');
    const duty = context.on('wastegate-duty');
    const throttle = context.on('throttle');
    // Some throttles read four fifths and more when they are wide open: that is their full.
    const fullest = Math.min(1, (throttle && extremeIn(throttle, 'largest')?.value) ?? 1);
    const open = THROTTLE_OPEN * (fullest > 0.8 ? fullest : 1);
    return context.loads.flatMap((load) => {
      const arrived = cameNear(error, load, 25e3);
      if (arrived === null || context.timesS[load.to - 1]! - context.timesS[arrived]! < 1) return [];
      const from = Math.max(arrived, load.to - context.samples(END_S));
      const end = meanIn(error.errorPa, from, load.to);
      if (end === null || end > -TAPER_PA * context.strictness) return [];
      if (throttle && (meanIn(throttle, from, load.to) ?? 1) < open) return [];
      const best = extremeIn(error.errorPa, 'largest', arrived, load.to)!;
      const dutyAtEnd = duty ? meanIn(duty, from, load.to) : null;
      const givenUp = dutyAtEnd !== null && dutyAtEnd >= DUTY_AT_MAXIMUM;
      if (best.value - end < FALL_PA && !givenUp) return [];
      let start = load.to - 1;
      while (start > arrived && error.errorPa[start - 1]! < -0.6 * TAPER_PA) start--;
      const rpm = speed[load.to - 1]!;
      return [
        finding('boost-taper', {
          severity: 'watch',
          confidence: confidenceBy(-end, TAPER_PA, 25e3) - (givenUp || dutyAtEnd === null ? 0 : 0.1),
          startS: context.timesS[start]!,
          endS: load.endS,
          channels: [
            'manifold-pressure',
            error.from === 'channel' && 'manifold-pressure-target',
            duty && 'wastegate-duty',
            'engine-speed',
          ],
          numbers: {
            underTargetAtEndPa: -end,
            bestErrorPa: best.value,
            engineSpeedRpm: rpm,
            startsAtRpm: speed[start],
            wastegateDuty: dutyAtEnd,
          },
          says: `Boost fell ${inKpa(-end)} under target by ${inRpm(rpm)}${dutyAtEnd === null ? '' : ` with wastegate duty at ${inPercent(dutyAtEnd)}`}: ${givenUp ? 'the exhaust pushes the wastegate open or the turbocharger is at its end' : 'the turbocharger does not hold what is asked'}.`,
          couldAlsoBe: [
            'a boost leak that opens with pressure',
            'a restriction before the compressor or after the turbine',
            'the compressor near choke',
            'a weak wastegate spring or leaking control hose',
          ],
          next: 'Check wastegate spring, preload and hoses, then look at compressor flow and back-pressure before asking for more boost at this engine speed.',
          source: 'common practice',
        }),
      ];
    });
  },
};
