import { onGrid, plateaus } from './plateau.ts';
import { finding, inKpa, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

/** Without a rating or another witness, so many equal readings in a row are asked for. */
const READINGS_ALONE = 14;
/** Control and ripple move boost by more than this share between readings; coarser steps than this prove nothing. */
const FINE_STEP = 0.004;
const AT_RATING = 0.985;
const MORE_FLOW = 0.02;
const LOAD_PA = 10e3;

export const pressureSensorCeiling: Rule = {
  id: 'pressure-sensor-ceiling',
  look(context) {
    const channel = context.channel('manifold-pressure');
    const speed = context.on('engine-speed');
    if (!channel || !speed) return lacking('manifold-pressure', 'engine-speed');
    if (context.doubted.has('manifold-pressure')) return [];
    const rating = context.car?.sensors.manifoldPressureCeilingPa ?? null;
    const flow = context.on('air-flow');
    const outlet = context.on('compressor-outlet-pressure');
    const wanted = context.wantedManifoldPressurePa();
    return plateaus(context, 'manifold-pressure').flatMap((plateau) => {
      if (plateau.value < context.barometricPressurePa + LOAD_PA) return [];
      const { from, to } = onGrid(context, plateau);
      // Witnesses: the pipe before the throttle went higher, or flow per turn moved while pressure did not.
      const above = outlet
        ? (extremeIn(runningMean(outlet, context.samples(0.1)), 'largest', from, to)?.value ?? 0) - plateau.value
        : null;
      const perTurn =
        flow &&
        runningMean(
          flow.map((value, i) => value / speed[i]!),
          context.samples(0.15),
        );
      const most = perTurn && extremeIn(perTurn, 'largest', from, to);
      const least = perTurn && extremeIn(perTurn, 'smallest', from, to);
      const moved = most && least ? most.value / least.value - 1 : 0;
      const under = wanted
        ? wanted.values
            .subarray(from, to)
            .reduce((sum, value) => sum + (Number.isFinite(value) ? value : plateau.value), 0) /
            Math.max(1, to - from) -
          plateau.value
        : 0;
      const rated = rating !== null && plateau.value >= AT_RATING * rating;
      const fine = channel.resolution <= FINE_STEP * plateau.value;
      const alone = fine && plateau.readings >= READINGS_ALONE * context.strictness;
      if (!rated && !alone && !(fine && moved > MORE_FLOW && plateau.readings >= READINGS_ALONE / 2)) return [];
      const rpm = speed[from] ?? Number.NaN;
      return [
        finding('pressure-sensor-ceiling', {
          severity: 'fix',
          confidence: rated ? 0.96 : plateau.readings >= 2 * READINGS_ALONE ? 0.93 : 0.82,
          startS: plateau.startS,
          endS: plateau.endS,
          channels: ['manifold-pressure', 'engine-speed', moved > MORE_FLOW && 'air-flow'],
          numbers: {
            ceilingPa: plateau.value,
            ratedCeilingPa: rating,
            readingsStandingStill: plateau.readings,
            outletOverCeilingPa: above,
            targetOverCeilingPa: under > 0 ? under : null,
            engineSpeedRpm: rpm,
          },
          says: `Manifold pressure stood still at ${inKpa(plateau.value)} from ${inRpm(rpm)} on, ${plateau.readings} readings alike: the sensor is at the end of its range and true boost may be higher.`,
          couldAlsoBe: ['a limit set in the control or logger', 'a sensor stuck under pressure'],
          next: 'Stop raising boost: neither gauge nor control sees it now. Fit a sensor with a wider range and scale it before the next pull.',
          source: 'common practice',
        }),
      ];
    });
  },
};
