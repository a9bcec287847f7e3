import { quantileOf } from '../../logs/index.ts';
import { spansInLoad } from './load.ts';
import { mixtureError } from './mixture.ts';
import { confidenceBy, finding, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn, runningMean } from './spans.ts';

/** Metered over swallowed air: a filling curve from a build sheet is good for 3-4 %, so one witness alone needs more. */
const FLOW_EXCESS = 0.035;
const FLOW_EXCESS_ALONE = 0.13;
/** Fuel for air that never arrives: lambda falls by the share that leaks. */
const RICH_SHARE = 0.045;
/** The two shares must tell of one leak. */
const AGREE = 0.09;
const LEAK_FOR_S = 0.6;
const BOOSTED_RATIO = 1.15;

export const boostLeak: Rule = {
  id: 'boost-leak',
  look(context) {
    const metered = context.on('air-flow');
    const swallowed = context.speedDensityKgPerS();
    const pressure = context.on('manifold-pressure');
    const speed = context.on('engine-speed');
    if (!metered || !pressure || !speed || !swallowed)
      return lacking(
        'air-flow',
        'manifold-pressure',
        'engine-speed',
        'charge-temperature',
        'build: displacement and filling',
      );
    const { strictness } = context;
    const half = context.samples(0.12);
    const excess = runningMean(
      metered.map((value, i) => value / swallowed[i]! - 1),
      half,
    );
    const mixture = mixtureError(context);
    const byMeter = context.car?.facts.airMetering !== 'speed-density';
    const rich =
      mixture?.wanted && byMeter
        ? runningMean(
            mixture.lambda.map((value, i) => 1 - value / mixture.wanted![i]!),
            half,
          )
        : null;
    return context.loads.flatMap((load) => {
      const spans = spansInLoad(
        context,
        load,
        (i) =>
          pressure[i]! > BOOSTED_RATIO * context.barometricPressurePa &&
          (rich
            ? excess[i]! > FLOW_EXCESS * strictness && rich[i]! > RICH_SHARE * strictness
            : excess[i]! > FLOW_EXCESS_ALONE * strictness),
        { settleS: 0.9, minimumS: LEAK_FOR_S, bridgeS: 0.3 },
      );
      return spans.flatMap((span) => {
        const lost = quantileOf(excess.subarray(span.from, span.to), 0.5) ?? 0;
        const richer = rich && quantileOf(rich.subarray(span.from, span.to), 0.5);
        if (richer !== null && Math.abs(lost / (1 + lost) - richer) > AGREE) return [];
        const share = richer === null ? lost / (1 + lost) : (lost / (1 + lost) + richer) / 2;
        const peak = extremeIn(pressure, 'largest', span.from, span.to)!;
        const rpm = speed[span.from]!;
        return [
          finding('boost-leak', {
            severity: 'fix',
            confidence: richer === null ? 0.72 : confidenceBy(share, 0.05, 0.12),
            startS: span.startS,
            endS: span.endS,
            channels: ['air-flow', 'manifold-pressure', 'charge-temperature', rich && 'lambda', 'engine-speed'],
            numbers: {
              leakShare: share,
              meteredOverSwallowed: 1 + lost,
              richShare: richer,
              meteredKgPerS: meanIn(metered, span.from, span.to),
              swallowedKgPerS: meanIn(swallowed, span.from, span.to),
              manifoldPressurePa: peak.value,
              engineSpeedRpm: rpm,
            },
            says: `The meter counts ${inPercent(lost)} more air than the engine takes from ${inRpm(rpm)} on${richer === null ? '' : ` and the mixture is ${inPercent(richer)} too rich`}: about ${inPercent(share)} of the air leaks between meter and valves.`,
            couldAlsoBe: [
              'a meter scaled too high',
              'a filling curve in the build sheet that is too low',
              'a blow-off valve held open',
            ],
            next: 'Pressure-test the charge pipes cold, standing clear of the ends (a pipe that lets go flies), and look for oily traces at the joints.',
            source: 'continuity: what the meter passes the engine must take (speed-density, Heywood (1988) sect. 6.2)',
          }),
        ];
      });
    });
  },
};
