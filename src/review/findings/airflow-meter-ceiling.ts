import type { ReviewContext } from '../context.ts';
import { onGrid, plateaus } from './plateau.ts';
import { finding, inGramsPerS, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

/** The engine must have taken this much more air than at the start of the plateau: beyond what wave effects do to a meter. */
const MORE_AIR = 0.05;
/** This near to the meter's rated ceiling no other proof is needed. */
const AT_RATING = 0.985;

/** What the engine swallows, in no particular unit: speed times density in the manifold. */
const swallowed = (context: ReviewContext): Float64Array | null => {
  const byBuild = context.speedDensityKgPerS();
  if (byBuild) return byBuild;
  const speed = context.on('engine-speed');
  const pressure = context.on('manifold-pressure');
  if (!speed || !pressure) return null;
  const temperature = context.on('charge-temperature');
  return speed.map((rpm, i) => (rpm * pressure[i]!) / (temperature?.[i] ?? 300));
};

export const airflowMeterCeiling: Rule = {
  id: 'airflow-meter-ceiling',
  look(context) {
    const name = context.channel('air-flow') ? 'air-flow' : 'air-flow-frequency';
    const speed = context.on('engine-speed');
    if (!context.channel(name) || !speed) return lacking('air-flow or air-flow-frequency', 'engine-speed');
    if (context.doubted.has(name)) return [];
    const taken = swallowed(context);
    const smooth = taken && runningMean(taken, context.samples(0.1));
    const rating =
      name === 'air-flow' && context.car?.facts.airMetering === 'airflow meter'
        ? context.car.sensors.airflowMeterCeilingKgPerS
        : null;
    return plateaus(context, name).flatMap((plateau) => {
      const { from, to } = onGrid(context, plateau);
      const most = smooth && extremeIn(smooth, 'largest', from, to);
      const start = smooth?.[from] ?? Number.NaN;
      const more = most && start > 0 ? most.value / start - 1 : 0;
      const rated = rating !== null && plateau.value >= AT_RATING * rating && plateau.value <= rating * 1.02;
      if (!(more >= MORE_AIR * context.strictness) && !rated) return [];
      const rpm = speed[from] ?? Number.NaN;
      return [
        finding('airflow-meter-ceiling', {
          severity: 'fix',
          confidence: rated && more >= MORE_AIR ? 0.98 : rated || plateau.readings > 20 ? 0.92 : 0.8,
          startS: plateau.startS,
          endS: plateau.endS,
          channels: [name, 'engine-speed', smooth && 'manifold-pressure'],
          numbers: {
            ceilingKgPerS: name === 'air-flow' ? plateau.value : null,
            ceilingHz: name === 'air-flow' ? null : plateau.value,
            ratedCeilingKgPerS: rating,
            moreAirTakenShare: more,
            engineSpeedRpm: rpm,
          },
          says: `The airflow reading stood still at ${name === 'air-flow' ? inGramsPerS(plateau.value) : `${plateau.value.toFixed(0)} Hz`} from ${inRpm(rpm)} on${more >= MORE_AIR ? ` while the engine took ${inPercent(more)} more air` : ''}: the meter is at the end of its range.`,
          couldAlsoBe: ['a limit set in the control for this signal', 'a restriction that holds the true flow steady'],
          next: 'Do not raise boost on this meter: above its ceiling the control fuels for too little air. Fit a larger meter or housing, or change to speed-density.',
          source: 'common practice',
        }),
      ];
    });
  },
};
