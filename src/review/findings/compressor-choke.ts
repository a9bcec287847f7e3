import type { LoadStretch, ReviewContext } from '../context.ts';
import type { Finding } from '../types.ts';
import { spansInLoad } from './load.ts';
import { type CompressorTrack, compressorTrack } from './map-point.ts';
import { confidenceBy, finding, inGramsPerS, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn, runningMean } from './spans.ts';

/** Flow over choke flow at that speed; maps and flow readings are good for 3 % each. */
const CHOKE_SHARE = 0.955;
const CHOKE_FOR_S = 0.4;
/** Efficiency this low is choke's other sign: the last third of a speed line falls from 0.7 to nought. */
const LOW_EFFICIENCY = 0.585;
const CERTAIN_EFFICIENCY = 0.5;

/** (k-1)/k of air near room temperature. */
const AIR_EXPONENT = 0.2857;
/** By temperature alone: no road compressor works this badly on boost at high flow unless it chokes (or is damaged). */
const LOW_BY_TEMPERATURE = 0.57;
/** Outlet sensors lag by a second and more; until then the efficiency reads far too good. */
const SENSOR_SETTLES_S = 1.2;
const LEAST_PRESSURE_RATIO = 1.5;
/** Choke comes with flow: efficiency must have been so much better earlier in the stretch. */
const FELL_BY = 0.06;
/** And engine speed must be in the upper part of what the stretch reached. */
const UPPER_SPEED_SHARE = 0.75;

const onMap = (context: ReviewContext, track: CompressorTrack, speed: Float64Array): Finding[] => {
  const share = runningMean(
    Float64Array.from(track.points, (point) => point?.chokeShare ?? Number.NaN),
    context.samples(0.1),
  );
  const low = 1 - (1 - LOW_EFFICIENCY) * context.strictness;
  return context.loads.flatMap((load) =>
    spansInLoad(context, load, (i) => share[i]! > CHOKE_SHARE && (track.points[i]?.efficiency ?? 1) < low, {
      settleS: 0.5,
      minimumS: CHOKE_FOR_S,
      bridgeS: 0.3,
    }).map((span) => {
      const peak = extremeIn(share, 'largest', span.from, span.to)!;
      const rpm = speed[peak.index]!;
      const efficiency = track.points[peak.index]?.efficiency ?? LOW_EFFICIENCY;
      return finding('compressor-choke', {
        severity: 'fix',
        confidence: confidenceBy(-efficiency, -LOW_EFFICIENCY, -CERTAIN_EFFICIENCY),
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
          efficiency,
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
};

/** What efficiency by temperature rests on. */
interface ByTemperature {
  readonly outletK: Float64Array;
  readonly pressurePa: Float64Array;
  readonly inletK: number;
}

const temperaturesOf = (context: ReviewContext): ByTemperature | null => {
  const outletK = context.on('compressor-outlet-temperature');
  const pressurePa = context.on('compressor-outlet-pressure') ?? context.on('manifold-pressure');
  return outletK && pressurePa && context.ambient
    ? { outletK, pressurePa, inletK: context.ambient.temperatureK }
    : null;
};

/** Isentropic over true temperature rise, smoothed; the manifold's pressure stands in for the outlet's, which reads up to 4 points low. */
const efficiencyIn = (context: ReviewContext, load: LoadStretch, by: ByTemperature): Float64Array => {
  const raw = by.outletK.subarray(load.from, load.to).map((outletK, k) => {
    const ratio = by.pressurePa[load.from + k]! / context.barometricPressurePa;
    const settled = k >= context.samples(SENSOR_SETTLES_S);
    return settled && ratio > LEAST_PRESSURE_RATIO
      ? (ratio ** AIR_EXPONENT - 1) / (outletK / by.inletK - 1)
      : Number.NaN;
  });
  return runningMean(raw, context.samples(0.2));
};

const byTemperature = (context: ReviewContext, by: ByTemperature, speed: Float64Array): Finding[] =>
  context.loads.flatMap((load) => {
    const efficiency = efficiencyIn(context, load, by);
    const at = (i: number) => efficiency[i - load.from]!;
    const fastest = extremeIn(speed, 'largest', load.from, load.to)?.value ?? Number.POSITIVE_INFINITY;
    const low = 1 - (1 - LOW_BY_TEMPERATURE) * context.strictness;
    return spansInLoad(context, load, (i) => at(i) < low && speed[i]! > UPPER_SPEED_SHARE * fastest, {
      settleS: SENSOR_SETTLES_S,
      minimumS: CHOKE_FOR_S,
      bridgeS: 0.3,
    }).flatMap((span) => {
      const best = extremeIn(efficiency, 'largest', 0, span.from - load.from);
      const least = extremeIn(efficiency, 'smallest', span.from - load.from, span.to - load.from);
      if (!best || !least || best.value - least.value < FELL_BY) return [];
      const index = load.from + least.index;
      const rpm = speed[index]!;
      return [
        finding('compressor-choke', {
          severity: 'fix',
          confidence: confidenceBy(-least.value, -LOW_BY_TEMPERATURE, -0.45),
          startS: span.startS,
          endS: span.endS,
          channels: [
            'compressor-outlet-temperature',
            context.on('compressor-outlet-pressure') ? 'compressor-outlet-pressure' : 'manifold-pressure',
            'engine-speed',
          ],
          numbers: {
            efficiency: least.value,
            outletTemperatureK: by.outletK[index],
            inletTemperatureK: by.inletK,
            pressureRatio: by.pressurePa[index]! / context.barometricPressurePa,
            meanEfficiency: meanIn(efficiency, span.from - load.from, span.to - load.from),
            engineSpeedRpm: rpm,
          },
          says: `By its outlet temperature the compressor's efficiency fell to ${inPercent(least.value)} by ${inRpm(rpm)}: it is near choke, and more speed only makes heat.`,
          couldAlsoBe: [
            'a damaged compressor wheel or a rubbing housing',
            'hot air drawn in, or a wrong intake or outlet temperature',
            'oil or exhaust heat reaching the outlet sensor',
          ],
          next: 'Lower boost toward high engine speed and see whether the temperature follows; put the compressor map on the build sheet to see how far it is from choke.',
          source: 'isentropic efficiency from pressures and temperatures: SAE J1826; margin: common practice',
        }),
      ];
    });
  });

export const compressorChoke: Rule = {
  id: 'compressor-choke',
  look(context) {
    const speed = context.on('engine-speed');
    const track = compressorTrack(context);
    const temperatures = temperaturesOf(context);
    if (!speed || (!track && !temperatures)) {
      return context.car?.compressorMap
        ? lacking('manifold-pressure', 'charge-temperature or compressor-outlet-temperature', 'engine-speed')
        : lacking('build: compressor map or compressor-outlet-temperature', 'manifold-pressure', 'engine-speed');
    }
    const found = track ? onMap(context, track, speed) : [];
    // A pressure at the end of its range makes any compressor look bad.
    const capped = context.found.some(({ id }) => id === 'pressure-sensor-ceiling');
    return found.length > 0 || !temperatures || capped ? found : byTemperature(context, temperatures, speed);
  },
};
