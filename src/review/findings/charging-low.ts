import { quantileOf } from '../../logs/index.ts';
import { confidenceBy, finding, lacking, type Rule } from './rule.ts';
import { runningMean, spansWhere } from './spans.ts';

/** A lead-acid battery rests at 12.6-12.8 V: under 13.2 V with the engine turning it is being drained, not charged. */
const LOW_V = 13.2;
const CERTAIN_V = 12.6;
/** The control may let the voltage go this far under the rated charging voltage (fields of smart alternators aside). */
const UNDER_RATED_V = 0.8;
const RUNNING_RPM = 900;
/** Cranking takes the battery down; the alternator needs some seconds to bring it back. */
const AFTER_START_S = 15;
const LOW_FOR_S = 5;

export const chargingLow: Rule = {
  id: 'charging-low',
  look(context) {
    const voltage = context.on('battery-voltage');
    const speed = context.on('engine-speed');
    if (!voltage || !speed) return lacking('battery-voltage', 'engine-speed');
    const usualLimit = context.car
      ? Math.min(LOW_V + 0.2, context.car.electrical.alternatorVoltageV - UNDER_RATED_V)
      : LOW_V;
    const limit = usualLimit + UNDER_RATED_V * (1 - context.strictness);
    let startedAt = Number.NEGATIVE_INFINITY;
    const settled = Array.from(speed, (rpm, i) => {
      if (rpm < 400) startedAt = context.timesS[i]!;
      return context.timesS[i]! - startedAt > AFTER_START_S && rpm > RUNNING_RPM;
    });
    const smooth = runningMean(voltage, context.samples(0.5));
    const spans = spansWhere(context.timesS, (i) => settled[i]! && smooth[i]! < limit, {
      minimumS: LOW_FOR_S,
      bridgeS: 10,
    });
    const last = spans.at(-1);
    if (spans.length === 0 || !last) return [];
    const startS = spans[0]!.startS;
    const low = voltage.filter(
      (_, i) => settled[i]! && context.timesS[i]! >= startS && context.timesS[i]! <= last.endS,
    );
    const usual = quantileOf(low, 0.5);
    if (usual === null || usual >= limit) return [];
    return [
      finding('charging-low', {
        severity: 'fix',
        confidence: confidenceBy(-usual, -limit, -CERTAIN_V),
        startS,
        endS: last.endS,
        channels: ['battery-voltage', 'engine-speed'],
        numbers: { medianBatteryVoltageV: usual, lowestBatteryVoltageV: quantileOf(low, 0.02), limitV: limit },
        says: `Battery voltage was ${usual.toFixed(1)} V with the engine running (charging holds ${limit.toFixed(1)} V and more): the alternator does not keep up.`,
        couldAlsoBe: ['a slipping belt', 'a bad earth or charge cable', 'a control that lets a full battery rest'],
        next: 'Measure at the battery and at the alternator with the engine running; low voltage also weakens fuel pump, injectors and spark, so keep boost down until it is right.',
        source: 'common practice',
      }),
    ];
  },
};
