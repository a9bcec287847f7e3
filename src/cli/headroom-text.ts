/** The ledger as text. */
import type { HeadroomAnswer } from '../app/index.ts';
import { airText, cautionText } from './match-text.ts';
import { bandShown, figure, shownWithUnit, table, type UnitSystem, unitText, wrap } from './print.ts';

/** Parts whose remedies are listed. */
const LIFTS_SHOWN = 4;

export const headroomText = (answer: HeadroomAnswer, units: UnitSystem): string => {
  const rows = answer.parts.map((part, index) => [
    String(index + 1),
    part.part,
    `${figure(100 * part.utilisation.p50, 0)} (${figure(100 * part.utilisation.p10, 0)}-${figure(100 * part.utilisation.p90, 0)})`,
    figure(part.worstEngineSpeedRpm, 0),
    part.decides
      ? !part.powerAtLimitW && part.boostAtLimitPa
        ? 'power stays'
        : bandShown(part.powerAtLimitW, 'power', units)
      : 'not counted',
    bandShown(part.boostAtLimitPa, 'pressure', units),
    figure(100 * part.chanceFirst, 0),
  ]);
  const lifts = answer.parts
    .filter(({ lift }) => lift.length > 0)
    .slice(0, LIFTS_SHOWN)
    .map(({ part, limit, lift }) => wrap(`  ${part} (${limit}): ${lift.join('; ')}.`, 100, '    '));
  const measure = answer.measureNext.map(({ quantity, why, bandNowW, bandThenW }) =>
    wrap(
      `  ${quantity}: ${why} The band of ${shownWithUnit(bandNowW, 'power', units)} would shrink to ${shownWithUnit(bandThenW, 'power', units)}.`,
      100,
      '    ',
    ),
  );
  return [
    `${answer.build}: what gives out first`,
    wrap(
      `${airText(answer.conditions, units)}. p50 (p10-p90) of ${answer.samples} cars inside the sheet's plus-minus.`,
    ),
    `As it is: ${bandShown(answer.powerNowW, 'power', units)} ${unitText('power', units)} at the crank, ` +
      `${bandShown(answer.boostNowPa, 'pressure', units)} ${unitText('pressure', units)} of boost.`,
    '',
    table(
      [
        { head: '' },
        { head: 'part', words: true },
        { head: 'used %' },
        { head: 'at rpm' },
        { head: `gives out ${unitText('power', units)}` },
        { head: `boost ${unitText('pressure', units)}` },
        { head: 'first %' },
      ],
      rows,
    ),
    '',
    wrap(
      'A dash: boost alone does not bring it to its limit within reach of the model. Not counted: the rating is common ' +
        'practice until you type your own, or the driver decides (tyres in the launch gears). Power stays: met below the ' +
        'engine speeds between shifts, where lowering the boost target costs no power.',
    ),
    ...(lifts.length > 0 ? ['', 'What lifts the first of them:', ...lifts] : []),
    ...(measure.length > 0 ? ['', 'Measure next:', ...measure] : []),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
