import { spansInLoad } from './load.ts';
import { compressorTrack } from './map-point.ts';
import { confidenceBy, finding, inPercent, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

const OVER_FOR_S = 0.15;
/** A shaft-speed sensor is exact; a speed read off a map with a few per cent of flow and pressure error is not. */
const MEASURED_MARGIN = 1.0;
const FROM_MAP_MARGIN = 1.04;

export const shaftOverspeed: Rule = {
  id: 'shaft-overspeed',
  look(context) {
    const { car } = context;
    if (!car) return lacking('build: shaft speed limit');
    const measured = context.on('shaft-speed');
    const track = measured ? null : compressorTrack(context);
    if (!measured && !track)
      return lacking('shaft-speed or build: compressor map', 'manifold-pressure', 'charge-temperature');
    const limit = car.turbocharger.shaftSpeedLimitRpm;
    const shaft = runningMean(
      measured ??
        Float64Array.from(track!.points, (point) =>
          point ? point.correctedShaftSpeedRpm * track!.speedFactor : Number.NaN,
        ),
      context.samples(0.06),
    );
    const margin = (measured ? MEASURED_MARGIN : FROM_MAP_MARGIN) * context.strictness;
    return context.loads.flatMap((load) =>
      spansInLoad(context, load, (i) => shaft[i]! > margin * limit, {
        settleS: 0.3,
        minimumS: OVER_FOR_S,
        bridgeS: 0.5,
      }).map((span) => {
        const peak = extremeIn(shaft, 'largest', span.from, span.to)!;
        return finding('shaft-overspeed', {
          severity: 'stop',
          confidence: measured ? confidenceBy(peak.value / limit, 1, 1.04) : 0.72,
          startS: span.startS,
          endS: span.endS,
          channels: [measured ? 'shaft-speed' : 'manifold-pressure', 'engine-speed'],
          numbers: {
            peakShaftSpeedRpm: peak.value,
            shaftSpeedLimitRpm: limit,
            shareOfLimit: peak.value / limit,
            engineSpeedRpm: context.on('engine-speed')?.[peak.index],
          },
          says: `The turbocharger reached ${(peak.value / 1000).toFixed(0)} 000 rpm${measured ? '' : ' by the compressor map'}, ${inPercent(peak.value / limit, 1)} of its limit: the wheel is asked for more flow and pressure than it is built for.`,
          couldAlsoBe: measured
            ? ['a shaft-speed sensor counting the wrong number of blades']
            : ['a boost leak or blocked filter that makes the map lie', 'a map that is not this compressor’s'],
          next: 'Stop: lower boost at high engine speed before the next pull. A wheel that bursts or touches its housing takes the engine with it; the limit is no guarantee below it.',
          source:
            'wheel burst and fatigue grow with tip speed squared: Watson & Janota (1982) ch. 3 (from memory); limit from the build sheet',
        });
      }),
    );
  },
};
