/** Spool, overshoot, lift and heat soak as text. */
import type { SpoolAnswer } from '../app/index.ts';
import { airText, cautionText } from './match-text.ts';
import { bandShown, figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

type Band = SpoolAnswer['overshootPa'];

const plain = (band: Band, decimals: number, unit: string): string =>
  `${figure(band.p50, decimals)} (${figure(band.p10, decimals)}-${figure(band.p90, decimals)}) ${unit}`;

const where = (answer: SpoolAnswer): string => `gear ${answer.gear} from ${figure(answer.fromEngineSpeedRpm, 0)} rpm`;

/** One sentence that a builder could say aloud. */
const opening = (answer: SpoolAnswer): string => {
  const { arrived, reason } = answer;
  if (!arrived) return `Boost does not arrive in ${where(answer)}: ${reason}. ${answer.says ?? ''}`.trim();
  const { p10, p50, p90 } = arrived.timeS;
  return `In ${where(answer)} boost is there after ${figure(p50, 1)} s (${figure(p10, 1)} to ${figure(p90, 1)} s), at ${figure(arrived.engineSpeedRpm.p50, 0)} rpm.`;
};

const VALVE = {
  recirculating: 'a recirculating bypass valve',
  atmospheric: 'a blow-off valve to the open air',
  none: 'no bypass valve',
} as const;

const liftWords = (answer: SpoolAnswer, units: UnitSystem): string => {
  const { lift } = answer;
  const boost = `${shown(lift.boostPa.p50, 'pressure', units)} ${unitText('pressure', units)}`;
  const fitted = `${VALVE[lift.bypassValve]}${lift.bypassAssumed ? ' (assumed)' : ''}`;
  const at = `Lifting off at ${figure(answer.liftEngineSpeedRpm, 0)} rpm and ${boost} with ${fitted}`;
  const chance = `${figure(100 * lift.chanceOfSurge, 0)} of 100 samples surge`;
  const share = lift.leastFlowOverSurgeFlow;
  if (lift.kind === 'surges')
    return `${at}, the compressor surges: the flow turns round ${figure(lift.cycles.p50, 0)} times (${figure(lift.cycles.p10, 0)}-${figure(lift.cycles.p90, 0)}) within ${figure(lift.leftOfSurgeLineS.p50, 1)} s; ${chance}.`;
  if (lift.kind === 'crosses the surge line')
    return `${at}, the compressor crosses its surge line for ${figure(lift.leftOfSurgeLineS.p50, 2)} s without the flow turning round; ${chance}.`;
  return `${at}, the compressor stays clear of surge: least flow ${figure(share.p50, 2)} (${figure(share.p10, 2)}-${figure(share.p90, 2)}) times the surge flow; ${chance}.`;
};

const ROWS = 14;

export const spoolText = (answer: SpoolAnswer, units: UnitSystem): string => {
  const pressure = unitText('pressure', units);
  const temperature = unitText('temperature', units);
  const { curves } = answer;
  const moment = (one: SpoolAnswer['arrived']): string =>
    one
      ? `${plain(one.timeS, 2, 's')}, at ${plain(one.engineSpeedRpm, 0, 'rpm')}${one.chance < 0.995 ? `, in ${figure(100 * one.chance, 0)} of 100 samples` : ''}`
      : 'not within this pull';
  const facts: [string, string][] = [
    ['90 % of the boost asked for', moment(answer.arrived)],
    ['The boost asked for', moment(answer.reached)],
    [
      'Over target once there',
      `${bandShown(answer.overshootPa, 'pressure', units)} ${pressure}, for ${plain(answer.overshootS, 1, 's')}`,
    ],
    ['Peak shaft speed', `${plain(answer.peakShaftSpeedRpm, 0, 'rpm')} of ${figure(answer.shaftSpeedLimitRpm, 0)} rpm`],
    [
      'Peak compressor outlet',
      `${bandShown(answer.peakCompressorOutletTemperatureK, 'temperature', units)} ${temperature}`,
    ],
    [
      `Charge, pull by pull, ${figure(answer.repeatedPulls.pauseS, 0)} s apart`,
      `${answer.repeatedPulls.highestChargeTemperatureK.map((band) => shown(band.p50, 'temperature', units)).join(', ')} ${temperature}`,
    ],
  ];
  const last = curves.timesS.length - 1;
  const every = Array.from({ length: ROWS + 1 }, (_, i) => Math.round((i * last) / ROWS));
  const rows = [...new Set(every)].map((i) => [
    figure(curves.timesS[i], 2),
    figure(curves.engineSpeedRpm[i]?.p50, 0),
    bandShown(curves.boostPa[i], 'pressure', units),
    shown(curves.boostTargetPa[i]?.p50, 'pressure', units),
    figure(curves.shaftSpeedRpm[i]?.p50, 0),
    shown(curves.chargeTemperatureK[i]?.p50, 'temperature', units),
  ]);
  return [
    `${answer.build}: spool in ${where(answer)}`,
    `${airText(answer.conditions, units)}. ${answer.samples} samples.`,
    '',
    wrap(opening(answer)),
    wrap(liftWords(answer, units)),
    '',
    table(
      [
        { head: '', words: true },
        { head: 'p50 (p10-p90)', words: true },
      ],
      facts,
    ),
    '',
    table(
      [
        { head: 's' },
        { head: 'rpm' },
        { head: `boost ${pressure}` },
        { head: 'asked' },
        { head: 'shaft rpm' },
        { head: `charge ${temperature}` },
      ],
      rows,
    ),
    '',
    wrap(
      'Time counts from the pedal all the way down after cruising on the level, in one gear without wheel spin. Next: log a pull in this gear from this speed and lay it over.',
    ),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
