import { spansInLoad } from './load.ts';
import { confidenceBy, finding, inPercent, inRpm, isDiesel, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn } from './spans.ts';

/** Pedal counts as full from here on. */
const PEDAL_FULL = 0.96;
/** Throttle under this with the pedal full is an order of the control, not play in the linkage. */
const THROTTLE_OPEN = 0.9;
const CLOSED_FOR_S = 0.2;
/** So far shut, the manifold must feel it. */
const SHUT = 0.35;
const HELD_SHARE = 0.93;
/** The throttle needs this long to follow the pedal. */
const SETTLE_S = 0.4;
/** Some throttles read this little and more when they are wide open: then that is their full. */
const LEAST_FULL = 0.8;
/** One reading between two wide open ones may have been taken as the foot came off. */
const LEAST_READINGS = 2;

export const throttleClosing: Rule = {
  id: 'throttle-closing',
  look(context) {
    const pedal = context.on('pedal');
    const throttle = context.on('throttle');
    const speed = context.on('engine-speed');
    const manifold = context.on('manifold-pressure');
    if (!pedal || !throttle || !speed) return lacking('pedal', 'throttle', 'engine-speed');
    // A diesel's air flap never reads near full: nothing can be said then.
    const fullest = Math.min(1, extremeIn(throttle, 'largest')?.value ?? 0);
    if (isDiesel(context) || fullest < LEAST_FULL) return [];
    const limit = fullest * (1 - (1 - THROTTLE_OPEN) * context.strictness);
    const readings = context.cleaned('throttle');
    return context.loads.flatMap((load) =>
      spansInLoad(context, load, (i) => throttle[i]! < limit && pedal[i]! >= PEDAL_FULL, {
        settleS: SETTLE_S,
        minimumS: CLOSED_FOR_S,
        bridgeS: 0.2,
      }).flatMap((span) => {
        const least = extremeIn(throttle, 'smallest', span.from, span.to)!;
        const rpm = speed[span.from]!;
        let seen = 0;
        readings?.timesS.forEach((timeS, i) => {
          if (timeS >= span.startS && timeS <= span.endS && readings.values[i]! < limit) seen++;
        });
        if (seen < LEAST_READINGS) return [];
        // A throttle nearly shut with boost undiminished behind it is a lost reading.
        const before = manifold && meanIn(manifold, span.from - context.samples(0.3), span.from);
        const after =
          manifold &&
          extremeIn(manifold, 'smallest', span.from, Math.min(manifold.length, span.to + context.samples(0.2)));
        if (least.value < SHUT && before && after && after.value > HELD_SHARE * before) return [];
        return [
          finding('throttle-closing', {
            severity: 'fix',
            confidence: confidenceBy(-least.value / fullest, -THROTTLE_OPEN, -0.75),
            startS: span.startS,
            endS: span.endS,
            channels: ['throttle', 'pedal', 'engine-speed'],
            numbers: { lowestThrottle: least.value, pedal: pedal[least.index], engineSpeedRpm: rpm },
            says: `From ${inRpm(rpm)} the throttle closed to ${inPercent(least.value)} with the pedal full: the control took torque away.`,
            couldAlsoBe: [
              'traction or gearbox torque limits',
              'boost over the control’s limit',
              'a worn throttle or pedal sensor',
            ],
            next: 'Read the control’s fault memory and torque limits for the reason before changing anything else.',
            source: 'common practice',
          }),
        ];
      }),
    );
  },
};
