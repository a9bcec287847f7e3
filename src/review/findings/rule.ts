/** The shape of a rule, how its finding is put together, and how figures are written. */
import type { ChannelName } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import type { Finding, FindingId, Severity, ToldFigure } from '../types.ts';

/**
 * What a rule could not do without. Each entry is needed: a channel name, `build: ...`, or a stretch of driving in words;
 * alternatives of which one would do are joined by ` or `. Entries that the log has are left out later.
 */
export interface Lacking {
  readonly needs: readonly string[];
}

export type Looked = readonly Finding[] | Lacking;

export interface Rule {
  readonly id: FindingId;
  look(context: ReviewContext): Looked;
}

export const lacking = (...needs: string[]): Lacking => ({ needs });
export const isLacking = (looked: Looked): looked is Lacking => 'needs' in looked;

/** An engine without sparks: by its build, else by what was said of the log. Mixture and knock rules of petrol do not hold for it. */
export const isDiesel = ({ car, log }: ReviewContext): boolean =>
  (car ? car.facts.ignition : log.ignition) === 'compression';

/** Everything of a finding but its id. */
export interface Evidence {
  readonly severity: Severity;
  readonly confidence: number;
  readonly startS: number;
  readonly endS: number;
  readonly channels: readonly (ChannelName | false | null | undefined)[];
  readonly numbers: Readonly<Record<string, number | null | undefined>>;
  readonly says: string;
  readonly couldAlsoBe: readonly string[];
  readonly next: string;
  readonly source: string;
}

/** A finding from its evidence: channels and numbers that are absent are left out, figures of the sentence told apart. */
export const finding = (id: FindingId, evidence: Evidence): Finding => {
  const told = toldParts(evidence.says);
  return {
    ...evidence,
    id,
    confidence: Math.min(0.99, Math.max(0.05, Math.round(evidence.confidence * 100) / 100)),
    channels: evidence.channels.filter((name): name is ChannelName => Boolean(name)),
    numbers: Object.fromEntries(
      Object.entries(evidence.numbers).filter((entry): entry is [string, number] => Number.isFinite(entry[1])),
    ),
    says: told.map((part) => (typeof part === 'string' ? part : part.written)).join(''),
    ...(told.some((part) => typeof part !== 'string') ? { told } : {}),
  };
};

/** Marks round a figure in a sentence under way, out of the range of characters that any sentence has. */
const [OPENS, PARTS, CLOSES] = ['\uE000', '\uE001', '\uE002'];

/** A figure in a sentence whose unit a reader may choose: quantity, SI value, and as it is written where nobody chose. */
const figure = (quantity: ToldFigure['quantity'], valueSi: number, written: string): string =>
  `${OPENS}${quantity}${PARTS}${valueSi}${PARTS}${written}${CLOSES}`;

const toldParts = (says: string): (string | ToldFigure)[] =>
  says.split(new RegExp(`(${OPENS}[^${CLOSES}]*${CLOSES})`)).flatMap((piece): (string | ToldFigure)[] => {
    if (!piece.startsWith(OPENS!)) return piece === '' ? [] : [piece];
    const [quantity, valueSi, written] = piece.slice(1, -1).split(PARTS!);
    return [{ quantity: quantity as ToldFigure['quantity'], valueSi: Number(valueSi), written: written ?? '' }];
  });

/**
 * How sure a rule may be when a measure has passed its threshold: 0.8 at the threshold (healthy logs stay below it, but
 * only just), rising to 0.98 at `certain`, most of the way in the first half. Kept by labelled logs (docs/scores.md).
 */
export const confidenceBy = (measure: number, threshold: number, certain: number): number => {
  const left = 1 - Math.min(1, Math.max(0, (measure - threshold) / (certain - threshold)));
  return 0.98 - 0.18 * left * left;
};

export const inKpa = (pressurePa: number, digits = 0): string =>
  figure('pressure', pressurePa, `${(pressurePa / 1e3).toFixed(digits)} kPa`);
export const inPercent = (share: number, digits = 0): string => `${(100 * share).toFixed(digits)} %`;
export const inDegC = (temperatureK: number): string =>
  figure('temperature', temperatureK, `${(temperatureK - 273.15).toFixed(0)} °C`);
export const inKelvins = (differenceK: number): string =>
  figure('temperature-difference', differenceK, `${differenceK.toFixed(0)} K`);
export const inRpm = (speedRpm: number): string => `${(Math.round(speedRpm / 50) * 50).toFixed(0)} rpm`;
/** A moment of the log, which a reader may want as the time of day. */
export const atMoment = (timeS: number): string => figure('moment', timeS, inSeconds(timeS));
export const inSeconds = (timeS: number): string => `${timeS.toFixed(1)} s`;
export const inGramsPerS = (flowKgPerS: number, digits = 0): string =>
  figure('air-flow', flowKgPerS, `${(1e3 * flowKgPerS).toFixed(digits)} g/s`);
export const inKmPerH = (speedMPerS: number): string =>
  figure('road-speed', speedMPerS, `${(3.6 * speedMPerS).toFixed(0)} km/h`);
