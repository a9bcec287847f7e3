import { quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { BOOST_UP_PA, spansInLoad } from './load.ts';
import { confidenceBy, finding, inKpa, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn, runningMean } from './spans.ts';

/** Share of the light-load pressure below which flow lost (square root: 4 % per 8 %) matters; regulators hold 2-3 %. */
const DROOP_SHARE = 0.92;
const CERTAIN_SHARE = 0.85;
/** A regulator lags a shift or pedal step by tenths of a second. */
const SETTLE_S = 0.4;
const DROOP_FOR_S = 0.3;
/** With less than this share left (half the fuel) no engine pulls: a signal that was lost. */
const NO_FUEL_SHARE = 0.25;
/** Rails of injectors in the ports stand at 250-450 kPa: less at light load is a wrong unit or sensor, not a pump (common practice, no source). */
const LEAST_BASE_PA = 120e3;

/** True when the regulator follows the manifold: by the build, else by which of the two pressures stays the steadier. */
const followsManifold = (context: ReviewContext, rail: Float64Array, manifoldGauge: Float64Array): boolean => {
  if (context.car) return context.car.facts.regulatorReferenced;
  const light = rail.map((value, i) => (manifoldGauge[i]! < 0 ? value : Number.NaN));
  const spread = (values: Float64Array) => (quantileOf(values, 0.9) ?? 0) - (quantileOf(values, 0.1) ?? 0);
  return spread(light.map((value, i) => value - manifoldGauge[i]!)) <= spread(light);
};

export const railPressureDroop: Rule = {
  id: 'rail-pressure-droop',
  look(context) {
    const rail = context.on('fuel-pressure');
    const manifold = context.on('manifold-pressure');
    const speed = context.on('engine-speed');
    if (!rail || !manifold || !speed) return lacking('fuel-pressure', 'manifold-pressure', 'engine-speed');
    const gauge = manifold.map((value) => value - context.barometricPressurePa);
    const referenced = followsManifold(context, rail, gauge);
    const over = runningMean(referenced ? rail.map((value, i) => value - gauge[i]!) : rail, context.samples(0.08));
    const light = over.map((value, i) => (speed[i]! > 500 && gauge[i]! < 0 ? value : Number.NaN));
    const base = quantileOf(light, 0.5);
    if (base === null || base < LEAST_BASE_PA) return [];
    return context.loads.flatMap((load) =>
      spansInLoad(
        context,
        load,
        (i) => over[i]! < (1 - (1 - DROOP_SHARE) * context.strictness) * base && gauge[i]! > BOOST_UP_PA,
        {
          settleS: SETTLE_S,
          minimumS: DROOP_FOR_S,
          bridgeS: 0.2,
        },
      ).flatMap((span) => {
        const worst = extremeIn(over, 'smallest', span.from, span.to)!;
        const share = worst.value / base;
        if (share < NO_FUEL_SHARE) return [];
        const rpm = speed[worst.index]!;
        const told = finding('rail-pressure-droop', {
          severity: share < 0.85 ? 'stop' : 'fix',
          confidence: confidenceBy(-share, -DROOP_SHARE, -CERTAIN_SHARE),
          startS: span.startS,
          endS: span.endS,
          channels: ['fuel-pressure', 'manifold-pressure', 'engine-speed'],
          numbers: {
            lowestRailOverManifoldPa: worst.value,
            lightLoadRailOverManifoldPa: base,
            shareOfLightLoad: share,
            injectorFlowShare: Math.sqrt(share),
            engineSpeedRpm: rpm,
            meanRailOverManifoldPa: meanIn(over, span.from, span.to),
          },
          says: `Fuel pressure over the manifold fell to ${inKpa(worst.value)} at ${inRpm(rpm)} (${inKpa(base)} at light load): the injectors pass ${inPercent(1 - Math.sqrt(share))} less, the pump or its supply cannot keep up.`,
          couldAlsoBe: [
            'a blocked filter or a crushed line',
            'low pump voltage or a weak relay',
            'the regulator’s manifold hose off or split',
          ],
          next: 'Stop raising boost. Measure pump voltage and flow at this pressure, and look at the filter; work on fuel lines only cold, depressurised and away from sparks.',
          source:
            'orifice law (flow with the square root of pressure): Heywood (1988) appendix C; margin: common practice',
        });
        return [told];
      }),
    );
  },
};
