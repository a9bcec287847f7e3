import { confidenceBy, finding, inDegC, inKelvins, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn } from './spans.ts';

/** Rise of the charge temperature at which pulls end, from the first to the hottest of the series. */
const RISE_K = 9;
const CERTAIN_K = 18;
/** Pulls further apart than this are not one series. */
const SERIES_S = 150;
/** Pulls must be alike for the comparison: the same greatest engine speed within this share. */
const ALIKE_SHARE = 0.12;
/** And as long, the shorter over the longer: core and sensor both lag, so that a longer pull ends hotter by itself. */
const AS_LONG_SHARE = 0.7;
const LEAST_PULLS = 2;
/** Only the end of pulls of this length and more says something. */
const LEAST_PULL_S = 3;

export const heatSoak: Rule = {
  id: 'heat-soak',
  look(context) {
    const charge = context.on('charge-temperature');
    const manifold = context.on('manifold-pressure');
    if (!charge || !manifold) return lacking('charge-temperature', 'manifold-pressure');
    const ends = context.pulls
      .filter((pull) => pull.endS - pull.startS >= LEAST_PULL_S)
      .flatMap((pull) => {
        const loads = context.loads.filter((load) => load.startS >= pull.startS - 0.1 && load.endS <= pull.endS + 0.1);
        const last = loads.at(-1);
        if (!last) return [];
        const from = Math.max(last.from, last.to - context.samples(0.5));
        const endK = meanIn(charge, from, last.to);
        const boost = extremeIn(manifold, 'largest', last.from, last.to)?.value ?? 0;
        const startK = meanIn(charge, loads[0]!.from, loads[0]!.from + context.samples(0.3));
        return endK === null || startK === null ? [] : [{ pull, endK, startK, boost, rpm: pull.maxEngineSpeedRpm }];
      });
    const first = ends[0];
    if (!first) return [];
    const series = [first];
    const lengthOf = ({ pull }: (typeof ends)[number]) => pull.endS - pull.startS;
    for (const one of ends.slice(1)) {
      const last = series.at(-1)!;
      const lengths = [lengthOf(first), lengthOf(one)];
      if (Math.min(...lengths) < AS_LONG_SHARE * Math.max(...lengths)) continue;
      const alike =
        Math.abs(one.rpm / first.rpm - 1) < ALIKE_SHARE && Math.abs(one.boost / first.boost - 1) < ALIKE_SHARE;
      if (alike && one.pull.startS - last.pull.endS < SERIES_S) series.push(one);
    }
    if (series.length < LEAST_PULLS) return lacking(`${LEAST_PULLS} pulls alike within ${SERIES_S} s`);
    const hottest = series.reduce((best, one) => (one.endK > best.endK ? one : best));
    const rise = hottest.endK - first.endK;
    if (hottest === first || rise < RISE_K * context.strictness) return [];
    return [
      finding('heat-soak', {
        severity: 'watch',
        confidence: confidenceBy(rise, RISE_K, CERTAIN_K),
        startS: hottest.pull.startS,
        endS: hottest.pull.endS,
        channels: ['charge-temperature', 'manifold-pressure'],
        numbers: {
          firstEndTemperatureK: first.endK,
          hottestEndTemperatureK: hottest.endK,
          riseK: rise,
          pulls: series.length,
          startTemperatureK: hottest.startK,
        },
        says: `Charge temperature at the end of the pulls rose from ${inDegC(first.endK)} to ${inDegC(hottest.endK)} (${inKelvins(rise)}) over ${series.length} pulls: the cooler's metal stores heat faster than the air takes it away.`,
        couldAlsoBe: [
          'outside air getting warmer, or following another car',
          'a cooler fan or water pump that stopped',
          'a hotter engine bay at low speed',
        ],
        next: 'Drive a minute or two at part load between pulls, and compare only pulls that start equally cool.',
        source: 'heat capacity of the core: Kays & London; margin: common practice',
      }),
    ];
  },
};
