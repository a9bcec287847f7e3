import { quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { confidenceBy, finding, inRpm, isDiesel, lacking, type Rule } from './rule.ts';
import { extremeIn, type Span, spansWhere } from './spans.ts';

/** Retard that the control takes on knock; one step of a cautious strategy is 1-1.5 deg, two steps are no accident. */
const RETARD_DEG = 1.8;
const STOP_RETARD_DEG = 4;
/** Knock level over the usual level at that engine speed; engine noise itself scatters by a third (common practice: twice). */
const LEVEL_RATIO = 1.55;
/** Counts in one pull. */
const COUNTS = 2;
const QUIET_BETWEEN_S = 1.5;

interface Heard extends Span {
  readonly by: 'knock-retard' | 'knock-count' | 'knock-level';
  readonly size: number;
}

const underLoad = (context: ReviewContext): ((index: number) => boolean) => {
  const pressure = context.on('manifold-pressure');
  if (!pressure) return (i) => context.loads.some((load) => i >= load.from && i < load.to);
  // Some allowance after lift-off: control gives retard back slowly, but the event itself needs load.
  return (i) => pressure[i]! > 0.8 * context.barometricPressurePa;
};

const byRetard = (context: ReviewContext): Heard[] => {
  const retard = context.on('knock-retard');
  if (!retard) return [];
  // Some controls write retard as a negative angle.
  const size = retard.map(Math.abs);
  const loaded = underLoad(context);
  return spansWhere(context.timesS, (i) => size[i]! >= RETARD_DEG * context.strictness && loaded(i), {
    minimumS: 0,
    bridgeS: QUIET_BETWEEN_S,
  }).map((span) => ({ ...span, by: 'knock-retard', size: extremeIn(size, 'largest', span.from, span.to)!.value }));
};

const byCount = (context: ReviewContext): Heard[] => {
  const channel = context.channel('knock-count');
  const count = context.on('knock-count');
  if (!channel || !count) return [];
  const rises: number[] = [];
  for (let i = 1; i < count.length; i++) if (count[i]! > count[i - 1]!) rises.push(i);
  const risen = new Set(rises);
  return spansWhere(context.timesS, (i) => risen.has(i), { minimumS: 0, bridgeS: 2.5 })
    .map((span) => ({ ...span, by: 'knock-count' as const, size: count[span.to - 1]! - (count[span.from - 1] ?? 0) }))
    .filter((heard) => heard.size >= COUNTS * context.strictness);
};

const byLevel = (context: ReviewContext): Heard[] => {
  const level = context.on('knock-level');
  const speed = context.on('engine-speed');
  if (!level || !speed) return [];
  const loaded = underLoad(context);
  // Usual level by 500 rpm of engine speed, from the same log under load.
  const bins = new Map<number, number[]>();
  const binOf = (i: number) => Math.round(speed[i]! / 500);
  for (let i = 0; i < level.length; i++) {
    if (!Number.isFinite(level[i]!) || !Number.isFinite(speed[i]!) || !loaded(i)) continue;
    const bin = bins.get(binOf(i));
    if (bin) bin.push(level[i]!);
    else bins.set(binOf(i), [level[i]!]);
  }
  const usual = new Map(
    [...bins].filter(([, all]) => all.length >= 8).map(([bin, all]) => [bin, quantileOf(all, 0.5)!]),
  );
  const ratio = (i: number) => level[i]! / (usual.get(binOf(i)) ?? Number.POSITIVE_INFINITY);
  return spansWhere(context.timesS, (i) => loaded(i) && ratio(i) > 1 + (LEVEL_RATIO - 1) * context.strictness, {
    minimumS: 0,
    bridgeS: QUIET_BETWEEN_S,
  })
    .map((span) => {
      let most = 0;
      for (let i = span.from; i < span.to; i++) if (Number.isFinite(ratio(i))) most = Math.max(most, ratio(i));
      return { ...span, by: 'knock-level' as const, size: most };
    })
    .filter((heard) => heard.to - heard.from > 1 || heard.size > 1.8);
};

export const knock: Rule = {
  id: 'knock',
  look(context) {
    if (isDiesel(context)) return [];
    const names = (['knock-retard', 'knock-count', 'knock-level'] as const).filter((name) => context.on(name));
    if (names.length === 0) return lacking('knock-retard or knock-count or knock-level');
    // Retard is the control's own verdict; the raw level only speaks where there is no verdict.
    const heard =
      names[0] === 'knock-retard'
        ? byRetard(context)
        : names[0] === 'knock-count'
          ? byCount(context)
          : byLevel(context);
    const speed = context.on('engine-speed');
    return heard.map((event) => {
      const rpm = speed?.[event.from] ?? Number.NaN;
      const deg = event.by === 'knock-retard' ? event.size : null;
      return finding('knock', {
        severity: (deg ?? 0) >= STOP_RETARD_DEG || (event.by === 'knock-count' && event.size >= 8) ? 'stop' : 'fix',
        confidence: deg === null ? 0.75 : confidenceBy(deg, RETARD_DEG, 4),
        startS: event.startS,
        endS: event.endS,
        channels: [event.by, 'engine-speed'],
        numbers: {
          knockRetardDeg: deg,
          knockCount: event.by === 'knock-count' ? event.size : null,
          knockLevelOverUsual: event.by === 'knock-level' ? event.size : null,
          engineSpeedRpm: rpm,
        },
        says:
          deg !== null
            ? `The control pulled timing by up to ${deg.toFixed(1)}° from ${inRpm(rpm)} on: it heard knock.`
            : event.by === 'knock-count'
              ? `${event.size.toFixed(0)} knock events were counted from ${inRpm(rpm)} on.`
              : `Knock level rose to ${event.size.toFixed(1)} times its usual value from ${inRpm(rpm)} on.`,
        couldAlsoBe: [
          'mechanical noise (a loose bracket, valve train, detonating exhaust) that the sensor takes for knock',
          'charge too hot or fuel of lower octane than the map expects',
          'too much boost or timing for this fuel',
        ],
        next: 'Stop full-throttle pulls, take out timing or boost in this range, and check fuel, charge temperature and mixture before trying again.',
        source: 'common practice',
      });
    });
  },
};
