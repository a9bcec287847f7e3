/** The first sentences of a comparison: only what the bands show. */
import type { Band } from '../types.ts';
import type { Headline, MeanDifference, Phrase, PowerShare } from './types.ts';

const CAUSE_WORDS: Readonly<Record<PowerShare['cause'], string>> = {
  boost: 'boost',
  'charge-temperature': 'charge temperature',
  lambda: 'mixture',
  'spark-advance': 'timing',
};

/** True when nought lies outside p10 to p90. */
export const isShown = ({ p10, p90 }: Band): boolean => p10 > 0 || p90 < 0;

const half = ({ p10, p90 }: Band): number => (p90 - p10) / 2;

const grouped = (rpm: number): string => String(rpm).replace(/\B(?=(\d{3})+$)/g, ',');

const size = (band: Band): Phrase => ({ quantity: 'power', valueSi: Math.abs(band.p50), plusMinusSi: half(band) });
const signed = (band: Band): Phrase => ({
  quantity: 'power',
  valueSi: band.p50,
  plusMinusSi: half(band),
  signed: true,
});

/** "; 6 of it from boost, 2 from charge temperature; against it work 1 from timing". */
const sharesPhrase = (shares: readonly PowerShare[], total: number, ofMeasured: boolean): Phrase[] => {
  const along = shares.filter(({ powerW }) => Math.sign(powerW.p50) === Math.sign(total));
  const against = shares.filter(({ powerW }) => Math.sign(powerW.p50) !== Math.sign(total));
  const list = (some: readonly PowerShare[], first: string) =>
    some.flatMap(({ cause, powerW }, i): Phrase[] => [
      i === 0 ? '' : ', ',
      size(powerW),
      `${i === 0 ? first : ''} from ${CAUSE_WORDS[cause]}`,
    ]);
  return [
    ...(along.length > 0
      ? [ofMeasured ? '; of what was measured, ' : '; ', ...list(along, ofMeasured ? '' : ' of it')]
      : []),
    ...(against.length > 0 ? ['; against it work ', ...list(against, '')] : []),
  ];
};

const BASIS = {
  'same air': ' corrected to the same air (SAE J1349)',
  'as measured': ' as measured',
} as const;

/** `first` and `second`: what to call the two, like "Pull A". */
export const comparisonPhrases = (
  headline: Headline | null,
  mean: MeanDifference | null,
  names: { readonly first: string; readonly second: string },
  same: boolean,
): Phrase[] => {
  const { first, second } = names;
  if (same) return [`${first} and ${second} are the same pull: no difference.`];
  if (!headline)
    return [`${first} and ${second} share no engine speed in the same gear at which power is known of both.`];
  const { differenceW, otherDifferenceW, engineSpeedRpm, gear, basis, shares } = headline;
  const where = ` at ${grouped(engineSpeedRpm)} rpm${gear === null ? '' : ` in gear ${gear}`}`;
  const shown = isShown(differenceW);
  const phrases: Phrase[] = shown
    ? [`${second} makes `, size(differenceW), `${differenceW.p50 > 0 ? ' more' : ' less'} than ${first}${where},`]
    : [`No difference between ${first} and ${second} can be told${where}: `, signed(differenceW)];
  phrases.push(shown ? BASIS[basis] : `,${BASIS[basis]}`);
  if (otherDifferenceW) {
    phrases.push(' (', signed(otherDifferenceW), basis === 'same air' ? " as measured in each day's air)" : ')');
  }
  // Shares are of what was measured: they are told where that itself is told apart from nought.
  const measured = basis === 'as measured' ? differenceW : (otherDifferenceW ?? differenceW);
  if (shown && isShown(measured) && shares.length > 0) {
    phrases.push(...sharesPhrase(shares, measured.p50, otherDifferenceW !== undefined));
  }
  phrases.push('.');
  if (mean && mean.toRpm > mean.fromRpm) {
    const over = basis === 'same air' ? (mean.sameAirW ?? mean.asMeasuredW) : mean.asMeasuredW;
    phrases.push(` On average over ${grouped(mean.fromRpm)} to ${grouped(mean.toRpm)} rpm: `, signed(over), '.');
  }
  return phrases;
};

/** Phrases as one text, each figure written by `write`. */
export const phrasesText = (phrases: readonly Phrase[], write: (figure: Exclude<Phrase, string>) => string): string =>
  phrases.map((phrase) => (typeof phrase === 'string' ? phrase : write(phrase))).join('');
