import { chargeExpectation } from './charge.ts';
import { spansInLoad } from './load.ts';
import { confidenceBy, finding, inDegC, inKelvins, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

/** Over what the cooler's own curve predicts: a soaked but healthy core and a lagging sensor stay under 8 K. */
const EXCESS_K = 10.5;
const CERTAIN_K = 18;
/** The core and the sensor need this long to mean something. */
const SETTLE_S = 2;
const HOT_FOR_S = 0.6;
/** Absolute limits where there is no build: petrol loses timing from here on (common practice). */
const LIMIT_WITHOUT_BUILD_K = 273.15 + 70;
/** Heat soak at standstill is no fault of the cooler: in the first pull after it this much is forgiven. */
const OVER_LIMIT_K = 3;

export const hotCharge: Rule = {
  id: 'hot-charge',
  look(context) {
    const charge = context.on('charge-temperature');
    const speed = context.on('engine-speed');
    if (!charge || !speed) return lacking('charge-temperature', 'engine-speed');
    const expectation = chargeExpectation(context);
    const limit = context.car?.chargeCooler.chargeTemperatureLimitK ?? LIMIT_WITHOUT_BUILD_K;
    const excess =
      expectation &&
      runningMean(
        charge.map((value, i) => value - expectation.expectedK[i]! - expectation.doubtK[i]!),
        context.samples(0.2),
      );
    const manifold = context.on('manifold-pressure');
    const boosted = (i: number) => !manifold || manifold[i]! > context.barometricPressurePa + 20e3;
    return context.loads.flatMap((load) =>
      spansInLoad(
        context,
        load,
        (i) =>
          boosted(i) &&
          ((excess !== null && excess[i]! > EXCESS_K * context.strictness) || charge[i]! > limit + OVER_LIMIT_K),
        { settleS: load.first ? SETTLE_S : 1, minimumS: HOT_FOR_S, bridgeS: 0.4 },
      ).map((span) => {
        const peak = extremeIn(charge, 'largest', span.from, span.to)!;
        const over = excess ? (extremeIn(excess, 'largest', span.from, span.to)?.value ?? null) : null;
        const expected = expectation?.expectedK[peak.index] ?? null;
        const weak = over !== null && over > EXCESS_K;
        const rpm = speed[peak.index]!;
        const ambient = expectation?.ambientK ?? null;
        return finding('hot-charge', {
          severity: peak.value > limit + 15 ? 'stop' : peak.value > limit ? 'fix' : 'watch',
          confidence: weak ? confidenceBy(over, EXCESS_K, CERTAIN_K) : 0.85,
          startS: span.startS,
          endS: span.endS,
          channels: [
            'charge-temperature',
            expectation?.outletFrom === 'channel' && 'compressor-outlet-temperature',
            'manifold-pressure',
          ],
          numbers: {
            peakChargeTemperatureK: peak.value,
            expectedChargeTemperatureK: expected,
            overExpectedK: over,
            ambientTemperatureK: ambient,
            chargeTemperatureLimitK: limit,
            engineSpeedRpm: rpm,
          },
          says: weak
            ? `Charge temperature reached ${inDegC(peak.value)} at ${inRpm(rpm)}, ${inKelvins(over)} over what the cooler should give${ambient ? ` at ${inDegC(ambient)} outside` : ''}: it sheds too little heat.`
            : `Charge temperature reached ${inDegC(peak.value)} at ${inRpm(rpm)} (limit ${inDegC(limit)}), as this boost and air temperature make it.`,
          couldAlsoBe: [
            'air going round the cooler instead of through it',
            'the compressor working far from its best efficiency',
            'a sensor soaking heat from its mounting',
            `a cooler effectiveness in the build sheet that is too good${context.car ? ` (${inPercent(context.car.curves.effectiveness.values[0] ?? 0)} at no flow)` : ''}`,
          ],
          next: 'Let it cool between pulls and take out timing or boost while it is this hot; then look at ducting and core before going further.',
          source: 'effectiveness of a heat exchanger: Kays & London; limit: common practice',
        });
      }),
    );
  },
};
