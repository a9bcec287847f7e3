import { spansInLoad } from './load.ts';
import { compressorTrack } from './map-point.ts';
import { finding, inGramsPerS, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

/** Flow over choke flow at that speed; maps and flow readings are good for 3 % each. */
const CHOKE_SHARE = 0.965;
const CHOKE_FOR_S = 0.4;
/** Efficiency this low is choke's other sign. */
const LOW_EFFICIENCY = 0.6;

export const compressorChoke: Rule = {
  id: 'compressor-choke',
  look(context) {
    const speed = context.on('engine-speed');
    const track = compressorTrack(context);
    if (!track || !speed) {
      return context.car?.compressorMap
        ? lacking('manifold-pressure', 'charge-temperature', 'engine-speed')
        : lacking('build: compressor map');
    }
    const share = runningMean(
      Float64Array.from(track.points, (point) => point?.chokeShare ?? Number.NaN),
      context.samples(0.1),
    );
    return context.loads.flatMap((load) =>
      spansInLoad(
        context,
        load,
        (i) => share[i]! > CHOKE_SHARE * context.strictness && (track.points[i]?.efficiency ?? 1) < LOW_EFFICIENCY,
        { settleS: 0.5, minimumS: CHOKE_FOR_S, bridgeS: 0.3 },
      ).map((span) => {
        const peak = extremeIn(share, 'largest', span.from, span.to)!;
        const rpm = speed[peak.index]!;
        return finding('compressor-choke', {
          severity: 'fix',
          confidence: 0.8,
          startS: span.startS,
          endS: span.endS,
          channels: [
            track.flowFrom === 'air-flow' ? 'air-flow' : 'charge-temperature',
            'manifold-pressure',
            'engine-speed',
          ],
          numbers: {
            chokeShare: peak.value,
            correctedFlowKgPerS: track.correctedFlowKgPerS[peak.index],
            pressureRatio: track.pressureRatio[peak.index],
            efficiency: track.points[peak.index]?.efficiency,
            engineSpeedRpm: rpm,
          },
          says: `At ${inRpm(rpm)} the compressor passed ${inGramsPerS(track.airFlowKgPerS[peak.index]!)}, ${inPercent(peak.value)} of what it chokes at: more speed only makes heat.`,
          couldAlsoBe: [
            'a map that is not this compressor’s',
            'an air leak that the compressor must feed',
            'a blocked filter lowering the inlet pressure',
          ],
          next: 'Lower boost toward high engine speed; a larger compressor is the next part if power is wanted there.',
          source: 'choke line of the compressor map (SAE J1826 measures it)',
        });
      }),
    );
  },
};
