import { type Channel, type ChannelName, medianOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { confidenceBy, finding, inKpa, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { runningMean } from './spans.ts';

/** Swing either side of the moving mean that counts, as a share of it; boost ripple and sensor noise stay under 1 %. */
const SWING_SHARE: Partial<Record<ChannelName, number>> = {
  'manifold-pressure': 0.014,
  'compressor-outlet-pressure': 0.014,
  'air-flow': 0.06,
};
/** Swings must stand so many times over what neighbouring readings of the channel differ by anywhere. */
const OVER_NOISE = 3.5;
/** Turns of direction in a row: a single dip is a shift or a valve, a train of them is surge. */
const LEAST_SWINGS = 5;
/** Surge of a car's pipework cycles at 5-20 Hz: slower swings are boost control hunting or cylinders that drop out. */
const LONGEST_SWING_S = 0.2;
const SLOWEST_HZ = 4;
/** Slower logging shows any of these frequencies as another one. */
const TRUE_FROM_RATE_HZ = 24;
/** There boost control that hunts looks alike: it takes this many swings in a row to believe slow ones. */
const LEAST_SLOW_SWINGS = 8;
/** Slower logging than this sees no swings at all. */
const LEAST_RATE_HZ = 9;
const WINDOW_S = 0.3;

interface Train {
  readonly startS: number;
  readonly endS: number;
  readonly swings: number;
  readonly share: number;
  readonly frequencyHz: number;
}

/** Trains of alternating swings in one channel's own readings. */
const trainsIn = (timesS: Float64Array, values: Float64Array, limit: number, rateHz: number): Train[] => {
  const half = Math.max(1, Math.round((WINDOW_S * rateHz) / 2));
  const mean = runningMean(values, half);
  const trains: Train[] = [];
  let sign = 0;
  let startS = 0;
  let lastS = 0;
  let swings = 0;
  let most = 0;
  const close = () => {
    if (swings >= LEAST_SWINGS) {
      trains.push({
        startS,
        endS: lastS,
        swings,
        share: most,
        frequencyHz: (swings - 1) / (2 * Math.max(lastS - startS, 1e-3)),
      });
    }
    sign = 0;
    swings = 0;
    most = 0;
  };
  const longest = Math.max(LONGEST_SWING_S, 2.5 / rateHz);
  for (let i = 0; i < values.length; i++) {
    const share = (values[i]! - mean[i]!) / mean[i]!;
    if (swings > 0 && timesS[i]! - lastS > longest) close();
    if (!(Math.abs(share) > limit)) continue;
    const now = Math.sign(share);
    if (swings === 0) startS = timesS[i]!;
    if (now !== sign) swings++;
    sign = now;
    lastS = timesS[i]!;
    most = Math.max(most, Math.abs(share));
  }
  close();
  return trains;
};

/** Noise of a channel's readings as a share of them: what each is off the middle of its neighbours by, as a standard deviation. */
const noiseShareOf = ({ values }: Channel): number => {
  const off = new Float64Array(Math.max(0, values.length - 2));
  for (let i = 0; i < off.length; i++)
    off[i] = Math.abs(values[i + 1]! - (values[i]! + values[i + 2]!) / 2) / Math.max(Math.abs(values[i + 1]!), 1e-9);
  // Of independent readings the difference has 1.5 times their variance.
  return (1.4826 * (medianOf(off) ?? 0)) / Math.sqrt(1.5);
};

const NAMES: readonly ChannelName[] = ['compressor-outlet-pressure', 'manifold-pressure', 'air-flow'];

const inAnyPull = (context: ReviewContext, startS: number, endS: number): boolean =>
  context.loads.some((load) => startS > load.startS - 0.1 && endS < load.endS + 0.3);

export const compressorSurge: Rule = {
  id: 'compressor-surge',
  look(context) {
    const speed = context.on('engine-speed');
    const names = NAMES.filter((name) => context.on(name));
    if (!speed || names.length === 0)
      return lacking('manifold-pressure or compressor-outlet-pressure or air-flow', 'engine-speed');
    if (!names.some((name) => (context.channel(name)?.rateHz ?? 0) >= LEAST_RATE_HZ))
      return lacking(`boost or air flow logged ${LEAST_RATE_HZ} times a second`);
    const manifold = context.on('manifold-pressure');
    const shaken = context.found.filter(({ id, channels }) => id === 'misfire' && channels[0] !== 'lambda');
    for (const name of names) {
      const channel = context.cleaned(name)!;
      if (channel.rateHz < LEAST_RATE_HZ) continue;
      const trains = trainsIn(
        channel.timesS,
        channel.values,
        Math.max(SWING_SHARE[name]!, OVER_NOISE * noiseShareOf(channel)) * context.strictness,
        channel.rateHz,
      ).filter((train) => {
        if (!inAnyPull(context, train.startS, train.endS)) return false;
        const isSlow = train.frequencyHz < SLOWEST_HZ;
        if (isSlow && (channel.rateHz >= TRUE_FROM_RATE_HZ || train.swings < LEAST_SLOW_SWINGS)) return false;
        // Cylinders that drop out shake the intake as well; engine speed tells them apart.
        if (shaken.some(({ startS, endS }) => train.startS < endS + 0.5 && train.endS > startS - 0.5)) return false;
        const at = Math.round((train.startS - context.timesS[0]!) / context.stepS);
        return !manifold || manifold[at]! > context.barometricPressurePa + 10e3;
      });
      if (trains.length === 0) continue;
      return trains.map((train) => {
        const at = Math.round((train.startS - context.timesS[0]!) / context.stepS);
        const rpm = speed[at] ?? Number.NaN;
        return finding('compressor-surge', {
          severity: 'fix',
          confidence: confidenceBy(train.swings, LEAST_SWINGS, 12),
          startS: train.startS,
          endS: train.endS,
          channels: [name, 'engine-speed'],
          numbers: {
            swings: train.swings,
            swingShare: train.share,
            frequencyHz: train.frequencyHz,
            engineSpeedRpm: rpm,
            manifoldPressurePa: manifold?.[at],
          },
          says: `From ${inRpm(rpm)} ${name === 'air-flow' ? 'air flow' : 'boost'} swung by ±${inPercent(train.share, 1)}${name !== 'air-flow' && manifold ? ` (±${inKpa(train.share * manifold[at]!)})` : ''}, ${train.swings} swings at about ${train.frequencyHz.toFixed(0)} Hz: the compressor surges, asked for more pressure than it can give at this flow.`,
          couldAlsoBe: ['boost control hunting', 'misfires that shake the intake', 'a loose pressure hose'],
          next: 'Ask for less boost below this engine speed, or let it come later; surge hammers the thrust bearing, so do not lug the engine at full throttle here.',
          source:
            'surge as flow reversal, mild to deep, at 5-20 Hz in car pipework: Watson & Janota, Turbocharging the Internal Combustion Engine (1982) ch. 3 (from memory)',
        });
      });
    }
    return [];
  },
};
