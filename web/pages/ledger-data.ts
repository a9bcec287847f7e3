/** The ledger in reading units, with the line between boost and crank power that its own rows give. */
import type { HeadroomView, PartHeadroomView } from '../../src/app/api.ts';
import { type BoostKnots, boostKnots, powerEnds, throughKnots } from '../charts/ledger.ts';
import type { Units } from '../state/units.ts';
import { ledgerOrder, rowName } from './part-marks.ts';

export interface LedgerData {
  readonly view: HeadroomView;
  readonly powerNowW: number;
  readonly boostNowPa: number;
  readonly lowestW: number;
  readonly highestW: number;
  readonly knots: BoostKnots;
}

export const ledgerData = (served: HeadroomView): LedgerData => {
  const view = { ...served, parts: ledgerOrder(served.parts) };
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
  const past = data.view.parts.filter((row) => row.utilisation.p50 > 1 && row.powerAtLimitW === undefined);
  const opening =
    past.length === 0 ? '' : `Past its limit now: ${past.map((row) => lowerFirst(rowName(row.part))).join('; ')}. `;
  if (!first)
    return `${opening}${past.length === 0 ? 'No part' : 'No other part'} gives out within reach of the model as the build stands.`;
  const off = first.powerAtLimitW.p50 - data.powerNowW;
  const far =
    off <= 0 ? 'the build is already past it' : `${units.write('power', off)} ${units.label('power')} from here`;
  const next = second
    ? ` Then ${lowerFirst(rowName(second.part))}, at ${writePower(units, second.powerAtLimitW)}.`
    : '';
  const order = past.length === 0 ? 'First to give out' : 'Next to give out';
  return `${opening}${order}: ${lowerFirst(rowName(first.part))}, at ${writePower(units, first.powerAtLimitW)}; ${far}.${next}`;
};

/** Names of the parts that have given out at a crank power. */
export const givenOut = (data: LedgerData, powerW: number): string[] =>
  limited(data.view)
    .filter(({ powerAtLimitW }) => powerAtLimitW.p50 <= powerW)
    .map(({ part }) => rowName(part));
