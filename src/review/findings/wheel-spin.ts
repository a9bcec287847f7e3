import { confidenceBy, finding, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { ROAD_SPEEDS, slips } from './slip.ts';

export const wheelSpin: Rule = {
  id: 'wheel-spin',
  look(context) {
    const all = slips(context);
    if (!all) return lacking('engine-speed', ROAD_SPEEDS);
    return all
      .filter((slip) => slip.cause === 'tyres')
      .map((slip) =>
        finding('wheel-spin', {
          severity: 'watch',
          confidence: confidenceBy(slip.excess, slip.threshold, 0.3) - (slip.proven ? 0 : 0.1),
          startS: slip.span.startS,
          endS: slip.span.endS,
          channels: slip.channels,
          numbers: {
            slipShare: slip.excess,
            engineSpeedRpm: slip.engineSpeedRpm,
            gear: slip.load.gear,
            accelerationMPerS2: slip.accelerationMPerS2,
          },
          says: `Driven wheels ran ${inPercent(slip.excess)} faster than the car near ${inRpm(slip.engineSpeedRpm)}${slip.load.gear ? ` in gear ${slip.load.gear}` : ''}: the tyres spin.`,
          couldAlsoBe: slip.proven
            ? ['a wet or dusty road', 'tyres cold or worn']
            : ['clutch slip (driven wheel speed would tell)', 'a wet or dusty road'],
          next: 'Leave this gear out of power estimates and lower boost in it; spin ends suddenly and shocks the driveline. Keep such runs off public roads.',
          source:
            'tyre slip at peak force 8-12 %: Pacejka, Tyre and Vehicle Dynamics, ch. 1 (from memory); margin: common practice',
        }),
      );
  },
};
