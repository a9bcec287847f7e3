/** The ledger in reading units, with the line between boost and crank power that its own rows give. */
import type { HeadroomView, PartHeadroomView } from '../../src/app/api.ts';
import { type BoostKnots, boostKnots, powerEnds, throughKnots } from '../charts/ledger.ts';
import type { Units } from '../state/units.ts';
import { rowName } from './part-marks.ts';

export interface LedgerData {
  readonly view: HeadroomView;
  readonly powerNowW: number;
  readonly boostNowPa: number;
  readonly lowestW: number;
  readonly highestW: number;
  readonly knots: BoostKnots;
}

export const ledgerData = (view: HeadroomView): LedgerData => {
  const bands = view.parts.flatMap(({ powerAtLimitW }) => (powerAtLimitW ? [powerAtLimitW] : []));
  const powerNowW = view.powerNowW.p50;
  const boostNowPa = view.boostNowPa.p50;
  const [lowestW, highestW] = powerEnds(bands, powerNowW);
  const knots = boostKnots([
    { powerW: powerNowW, boostPa: boostNowPa },
    ...view.parts.flatMap(({ powerAtLimitW, boostAtLimitPa, dependsOnBoost }) =>
      powerAtLimitW && boostAtLimitPa && dependsOnBoost
        ? [{ powerW: powerAtLimitW.p50, boostPa: boostAtLimitPa.p50 }]
        : [],
    ),
  ]);
  return { view, powerNowW, boostNowPa, lowestW, highestW, knots };
};

export const boostAtPower = ({ knots }: LedgerData, powerW: number): number =>
  throughKnots(knots.powerW, knots.boostPa, powerW);
export const powerAtBoost = ({ knots }: LedgerData, boostPa: number): number =>
  throughKnots(knots.boostPa, knots.powerW, boostPa);

const halfOf = (band: { p10: number; p90: number }) => (band.p90 - band.p10) / 2;

/** "238 kW ±12". */
export const writePower = (units: Units, band: { p10: number; p50: number; p90: number }): string =>
  `${units.write('power', band.p50)} ${units.label('power')} ±${units.writeSpread('power', halfOf(band))}`;

const limited = (
  view: HeadroomView,
): (PartHeadroomView & { powerAtLimitW: NonNullable<PartHeadroomView['powerAtLimitW']> })[] =>
  view.parts.flatMap((part) => (part.powerAtLimitW ? [{ ...part, powerAtLimitW: part.powerAtLimitW }] : []));

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

/** One sentence a builder could repeat aloud. */
export const ledgerSentence = (data: LedgerData, units: Units): string => {
  const [first, second] = limited(data.view);
  if (!first) return 'No part gives out within reach of the model as the build stands.';
  const far = (powerW: number) => {
    const off = powerW - data.powerNowW;
    const size = `${units.write('power', Math.abs(off))} ${units.label('power')}`;
    return off <= 0 ? 'the build is already past it' : `${size} from here`;
  };
  const opening = `First to give out: ${lowerFirst(rowName(first.part))}, at ${writePower(units, first.powerAtLimitW)}; ${far(first.powerAtLimitW.p50)}.`;
  if (!second) return opening;
  return `${opening} Then ${lowerFirst(rowName(second.part))}, at ${writePower(units, second.powerAtLimitW)}.`;
};

/** Names of the parts that have given out at a crank power. */
export const givenOut = (data: LedgerData, powerW: number): string[] =>
  limited(data.view)
    .filter(({ powerAtLimitW }) => powerAtLimitW.p50 <= powerW)
    .map(({ part }) => rowName(part));
