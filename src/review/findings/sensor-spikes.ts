import { lonelyReadings } from './readings.ts';
import { atMoment, finding, lacking, type Rule } from './rule.ts';

/** One lone reading may be anything; from two on it is a habit. */
const LEAST_SPIKES = 2;

export const sensorSpikes: Rule = {
  id: 'sensor-spikes',
  look(context) {
    if (context.log.channels.length === 0) return lacking('engine-speed');
    return context.log.channels.flatMap((channel) => {
      const { values, timesS } = channel;
      let lonely = lonelyReadings(channel);
      if (channel.channel === 'lambda') {
        // Lean blips under load are misfires, not the sensor.
        lonely = lonely.filter((i) => {
          const lean = values[i]! > values[i - 1]!;
          return !(lean && context.loads.some((load) => timesS[i]! >= load.startS && timesS[i]! <= load.endS));
        });
      }
      const first = lonely[0];
      const last = lonely.at(-1);
      if (first === undefined || last === undefined || lonely.length < LEAST_SPIKES * context.strictness) return [];
      const size = (i: number) => Math.abs(values[i]! - (values[i - 1]! + values[i + 1]!) / 2);
      const largest = Math.max(...lonely.map(size));
      return [
        finding('sensor-spikes', {
          severity: 'watch',
          confidence: Math.min(0.96, 0.68 + 0.07 * lonely.length),
          startS: timesS[first]!,
          endS: timesS[last]!,
          channels: [channel.channel],
          numbers: { spikes: lonely.length, largestSi: largest, firstS: timesS[first]! },
          says: `The ${channel.channel.replaceAll('-', ' ')} signal has ${lonely.length} lone readings far from their neighbours, first at ${atMoment(timesS[first]!)}: electrical noise, not the car.`,
          couldAlsoBe: ['ignition noise on an unshielded wire', 'a poor earth', 'bits lost on the way to the logger'],
          next: 'Check shield, earth and the run of the wire away from coils; such readings are left out of everything else here.',
          source: 'common practice',
        }),
      ];
    });
  },
};
