import type { FindingId } from '../types.ts';
import { confidenceBy, finding, inRpm, inSeconds, lacking, type Rule } from './rule.ts';
import { BUILT_SHARE, spoolTimeOf } from './spool-time.ts';

/**
 * Late is this many times the half-width of the predicted band over its middle (1.6 times from the 50th to the 90th
 * percentile is two standard deviations), and at least {@link LEAST_LATE_S}: a healthy build stays inside.
 */
const HALF_WIDTHS = 1.6;
const LEAST_LATE_S = 0.75;
/** Certain when twice as late as that. */
const CERTAIN = 2;
/** The best estimate must be passed by this share before the band is worked out at all. */
const WORTH_A_LOOK = 1.1;
/** A turbocharger that is there in this time is not slow. */
const QUICK_S = 0.8;
/** These take away gas work, air or the pressure reading itself: what they explain is not told twice. */
const EXPLAINS: ReadonlySet<FindingId> = new Set([
  'pressure-sensor-ceiling',
  'compressor-surge',
  'misfire',
  'throttle-closing',
  'back-pressure-high',
  'boost-leak',
]);

export const slowSpool: Rule = {
  id: 'slow-spool',
  look(context) {
    const speed = context.on('engine-speed');
    if (!context.car) return lacking('build: compressor, turbine and shaft');
    if (!context.on('manifold-pressure') || !speed || !context.wantedManifoldPressurePa()) {
      return lacking('manifold-pressure', 'engine-speed');
    }
    return context.loads.flatMap((load) => {
      if (!load.first) return [];
      const spool = spoolTimeOf(context, load);
      if (!spool) return [];
      const tookS = spool.loggedS ?? spool.lengthS;
      if (tookS < QUICK_S) return [];
      const { expectedS } = spool;
      if (expectedS === null || tookS < WORTH_A_LOOK * expectedS) return [];
      if (context.found.some((one) => EXPLAINS.has(one.id) && one.startS < load.endS && one.endS > load.startS))
        return [];
      const band = spool.band();
      if (!band) return [];
      const lateS = Math.max(LEAST_LATE_S, HALF_WIDTHS * (band.p90 - band.p50));
      if (tookS < band.p50 + lateS) return [];
      const rpm = speed[load.from]!;
      const arrivesAtRpm = spool.loggedS === null ? null : speed[spool.to]!;
      return [
        finding('slow-spool', {
          severity: 'fix',
          confidence: confidenceBy(tookS - band.p50, lateS, CERTAIN * lateS),
          startS: load.startS,
          endS: context.timesS[spool.to]!,
          channels: ['manifold-pressure', 'engine-speed'],
          numbers: {
            timeToBoostS: spool.loggedS,
            lookedForS: tookS,
            expectedP10S: band.p10,
            expectedP50S: band.p50,
            expectedP90S: band.p90,
            boostShare: BUILT_SHARE,
            startEngineSpeedRpm: rpm,
            arrivesAtRpm,
          },
          says: `Boost came late: ${spool.loggedS === null ? `not there after ${inSeconds(tookS)}` : `${inSeconds(tookS)}`} from ${inRpm(rpm)} to ${Math.round(100 * BUILT_SHARE)} % of what is asked for, where this build should take ${inSeconds(band.p50)} (${inSeconds(band.p10)} to ${inSeconds(band.p90)}) along the same engine speed.`,
          couldAlsoBe: [
            'an exhaust leak before the turbine',
            'a wastegate that does not close fully',
            'a boost leak',
            'a turbine larger than the build sheet says',
            'late timing or a dragging bearing',
          ],
          next: 'Look for soot at manifold and turbine flanges and check wastegate preload, engine cold; then pressure-test the charge pipes.',
          source:
            'shaft, filling and map marched in time (docs/model.md, Transient): Watson & Janota, Turbocharging the Internal Combustion Engine (1982) ch. 2-3 (from memory)',
        }),
      ];
    });
  },
};
