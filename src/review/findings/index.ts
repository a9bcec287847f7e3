/** All findings over one log: sensors first, so that what they prove wrong is not believed by the rest. */
import type { ResolvedBuild } from '../../car/index.ts';
import { CHANNEL_NAMES, type ChannelName, type Log } from '../../logs/index.ts';
import { type ReviewContext, reviewContext } from '../context.ts';
import type { Finding, FindingId, NotChecked, ReviewedPull, Severity } from '../types.ts';
import { airflowMeterCeiling } from './airflow-meter-ceiling.ts';
import { backPressureHigh } from './back-pressure-high.ts';
import { boostCreep } from './boost-creep.ts';
import { boostLeak } from './boost-leak.ts';
import { boostOvershoot } from './boost-overshoot.ts';
import { boostTaper } from './boost-taper.ts';
import { chargingLow } from './charging-low.ts';
import { clockFault } from './clock-fault.ts';
import { clutchSlip } from './clutch-slip.ts';
import { compressorChoke } from './compressor-choke.ts';
import { compressorSurge } from './compressor-surge.ts';
import { coolantHot } from './coolant-hot.ts';
import { heatSoak } from './heat-soak.ts';
import { hotCharge } from './hot-charge.ts';
import { injectionFlowLost } from './injection-flow-lost.ts';
import { injectorNearStatic } from './injector-near-static.ts';
import { knock } from './knock.ts';
import { leanUnderLoad } from './lean-under-load.ts';
import { lowOilPressure } from './low-oil-pressure.ts';
import { misfire } from './misfire.ts';
import { pressureSensorCeiling } from './pressure-sensor-ceiling.ts';
import { railPressureDroop } from './rail-pressure-droop.ts';
import { richUnderLoad } from './rich-under-load.ts';
import { isLacking, type Rule } from './rule.ts';
import { sensorDropout } from './sensor-dropout.ts';
import { sensorOffset } from './sensor-offset.ts';
import { sensorSpikes } from './sensor-spikes.ts';
import { sensorStuck } from './sensor-stuck.ts';
import { shaftOverspeed } from './shaft-overspeed.ts';
import { slowSpool } from './slow-spool.ts';
import { speedScaleOff } from './speed-scale-off.ts';
import { throttleClosing } from './throttle-closing.ts';
import { wheelSpin } from './wheel-spin.ts';

/** Every rule, in the order in which they are looked for. */
export const RULES: readonly Rule[] = [
  clockFault,
  sensorStuck,
  sensorDropout,
  sensorSpikes,
  sensorOffset,
  pressureSensorCeiling,
  airflowMeterCeiling,
  speedScaleOff,
  leanUnderLoad,
  richUnderLoad,
  knock,
  railPressureDroop,
  injectorNearStatic,
  injectionFlowLost,
  boostLeak,
  boostCreep,
  boostTaper,
  misfire,
  boostOvershoot,
  compressorSurge,
  compressorChoke,
  shaftOverspeed,
  backPressureHigh,
  hotCharge,
  heatSoak,
  throttleClosing,
  slowSpool,
  clutchSlip,
  wheelSpin,
  lowOilPressure,
  coolantHot,
  chargingLow,
];

const NAMES: ReadonlySet<string> = new Set(CHANNEL_NAMES);
const isChannelName = (text: string): text is ChannelName => NAMES.has(text);

/** Rules that look at full-load stretches only: without any they have nothing to look at. */
const OVER_PULLS: ReadonlySet<FindingId> = new Set([
  'lean-under-load',
  'rich-under-load',
  'rail-pressure-droop',
  'injection-flow-lost',
  'boost-leak',
  'boost-creep',
  'boost-taper',
  'boost-overshoot',
  'compressor-surge',
  'compressor-choke',
  'shaft-overspeed',
  'back-pressure-high',
  'hot-charge',
  'heat-soak',
  'throttle-closing',
  'slow-spool',
  'clutch-slip',
  'wheel-spin',
]);

/** True when one of the alternatives in an entry of `needs` is there. */
const isThere = (context: ReviewContext, entry: string): boolean =>
  entry.split(' or ').some((one) => {
    if (one === 'build: compressor map') return Boolean(context.car?.compressorMap);
    if (one.startsWith('build: ')) return context.car !== null;
    return isChannelName(one) && context.on(one) !== null;
  });

/** The entries that the log or the build lacks; all of them where each is there but not fit for use. */
const lackingNeeds = (context: ReviewContext, needs: readonly string[]): readonly string[] => {
  const absent = needs.filter((entry) => !isThere(context, entry));
  return absent.length > 0 ? absent : needs;
};

/** What keeps rules over pulls from looking: no pedal and no throttle to find pulls by, or no pull. */
const noPullNeeds = (context: ReviewContext): readonly string[] | null => {
  if (context.loads.length > 0) return null;
  return context.channel('pedal') || context.channel('throttle') ? ['a full-throttle pull'] : ['pedal or throttle'];
};

/** Rules on the sensors themselves: what they find decides what the rest, and the powers, may rest on. */
const LAST_OF_SENSORS: FindingId = 'sensor-offset';

export interface FindOptions {
  /** See {@link ReviewContext}. */
  readonly strictness?: number;
  /** Hears what was found of the sensors as soon as that is known, before the other rules look. */
  readonly onSensors?: (findings: readonly Finding[]) => void;
}

const RANK: Record<Severity, number> = { stop: 0, fix: 1, watch: 2, note: 3 };

/**
 * One finding per id and pull: what shows in second gear and again in third is one thing to know. The graver (then the
 * surer) of the two speaks; the stretch covers both.
 */
const oncePerPull = (findings: readonly Finding[], pulls: readonly ReviewedPull[]): Finding[] => {
  const pullOf = ({ startS, endS }: Finding) => pulls.findIndex((pull) => startS < pull.endS && endS > pull.startS);
  const kept: Finding[] = [];
  for (const finding of findings) {
    const pull = pullOf(finding);
    const twin = pull < 0 ? -1 : kept.findIndex((other) => other.id === finding.id && pullOf(other) === pull);
    const other = kept[twin];
    if (!other) {
      kept.push(finding);
      continue;
    }
    const graver = RANK[other.severity] - RANK[finding.severity] || finding.confidence - other.confidence;
    const speaks = graver > 0 ? finding : other;
    kept[twin] = {
      ...speaks,
      startS: Math.min(finding.startS, other.startS),
      endS: Math.max(finding.endS, other.endS),
    };
  }
  return kept;
};

/**
 * Looks for every finding. `resolved` null: rules that need the build are listed in `notChecked`.
 * Findings come gravest first, then by time.
 */
export const findAll = (
  log: Log,
  resolved: ResolvedBuild | null,
  pulls: readonly ReviewedPull[],
  { strictness = 1, onSensors }: FindOptions = {},
): { findings: Finding[]; notChecked: NotChecked[] } => {
  const context = reviewContext(log, resolved, pulls, strictness);
  const notChecked: NotChecked[] = [];
  const noPull = noPullNeeds(context);
  for (const rule of RULES) {
    const looked = rule.look(context);
    if (isLacking(looked)) notChecked.push({ id: rule.id, needs: lackingNeeds(context, looked.needs) });
    else if (noPull && looked.length === 0 && OVER_PULLS.has(rule.id)) notChecked.push({ id: rule.id, needs: noPull });
    else context.found.push(...looked);
    if (rule.id === LAST_OF_SENSORS) onSensors?.(oncePerPull(context.found, pulls));
  }
  const findings = oncePerPull(context.found, pulls);
  findings.sort((a, b) => RANK[a.severity] - RANK[b.severity] || a.startS - b.startS);
  return { findings, notChecked };
};
