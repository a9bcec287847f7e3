/** The cylinder at an engine speed as text. */
import type { CylinderAnswer } from '../app/index.ts';
import { airText, cautionText } from './match-text.ts';
import { bandShown, figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

const degrees = (band: CylinderAnswer['timing']['knockMarginDeg']): string =>
  `${figure(band.p50, 1)} (${figure(band.p10, 1)} to ${figure(band.p90, 1)}) deg`;

/** One sentence that a builder could say aloud. */
const opening = (answer: CylinderAnswer, units: UnitSystem): string => {
  const { p10, p50, p90 } = answer.timing.knockMarginDeg;
  const where = `At ${figure(answer.engineSpeedRpm, 0)} rpm and ${shown(answer.boostPa.p50, 'pressure', units)} ${unitText('pressure', units)} boost`;
  if (p10 > 0) return `${where} this timing has about ${figure(p50, 0)} degrees left before knock.`;
  if (p90 < 0) return `${where} this timing is about ${figure(-p50, 0)} degrees past where knock is expected.`;
  return `${where} this timing stands near where knock is expected: ${figure(p50, 0)} degrees, give or take ${figure((p90 - p10) / 2, 0)}.`;
};

const sweep = (heads: readonly string[], columns: readonly (readonly string[])[]): string =>
  table(
    heads.map((head) => ({ head })),
    columns[0]!.map((_, row) => columns.map((column) => column[row]!)),
  );

export const cylinderText = (answer: CylinderAnswer, units: UnitSystem): string => {
  const { timing, byBoost, byChargeTemperature, bySpark, withoutInjection } = answer;
  const pressure = unitText('pressure', units);
  const facts: [string, string][] = [
    [`Timing (${timing.from})`, degrees(timing.sparkAdvanceDeg)],
    ['Best-torque timing', degrees(timing.bestTorqueAdvanceDeg)],
    ['Borderline of knock, relative', degrees(timing.knockLimitAdvanceDeg)],
    ['Left before it', degrees(timing.knockMarginDeg)],
    [
      'Boost at which this timing is borderline',
      answer.boostAtKnockPa ? `${bandShown(answer.boostAtKnockPa, 'pressure', units)} ${pressure}` : 'out of reach',
    ],
    ['Peak cylinder pressure', `${bandShown(answer.peakPressurePa, 'pressure', units)} ${pressure}`],
    [
      '  at',
      `${figure(answer.peakPressureDeg, 0)} deg after top dead centre, half burned at ${figure(answer.halfBurnedDeg, 0)} deg`,
    ],
    ['Torque', `${bandShown(answer.torqueNm, 'torque', units)} ${unitText('torque', units)}`],
    [
      'Exhaust before the turbine',
      `${bandShown(answer.exhaustTemperatureK, 'temperature', units)} ${unitText('temperature', units)}`,
    ],
    [
      'Charge, and when the valve has closed',
      `${shown(answer.chargeTemperatureK.p50, 'temperature', units)} and ${shown(answer.closingTemperatureK, 'temperature', units)} ${unitText('temperature', units)}`,
    ],
  ];
  const wet = withoutInjection
    ? [
        wrap(
          `Without the water-methanol the charge would be at ${shown(withoutInjection.chargeTemperatureK, 'temperature', units)} ${unitText('temperature', units)} and the borderline at ${figure(withoutInjection.knockLimitAdvanceDeg, 1)} degrees: the injection is worth ${figure(timing.knockLimitAdvanceDeg.p50 - withoutInjection.knockLimitAdvanceDeg, 1)} degrees.`,
          100,
        ),
      ]
    : [];
  const every = <T>(values: readonly T[]): T[] => values.filter((_, index) => index % 2 === 0);
  return [
    answer.build,
    airText(answer.conditions, units),
    '',
    wrap(opening(answer, units), 100),
    wrap(
      'The borderline is relative: set where common practice has it for 98 octane at 2 bar, moved by the cycle; what your own logs have shown free of knock counts for more.',
      100,
    ),
    '',
    facts.map(([name, value]) => `${name.padEnd(42)} ${value}`).join('\n'),
    ...wet,
    '',
    sweep(
      [
        'timing deg',
        `torque ${unitText('torque', units)}`,
        `peak ${pressure}`,
        `exhaust ${unitText('temperature', units)}`,
      ],
      [
        every(bySpark.sparkAdvanceDeg).map((value) => figure(value, 1)),
        every(bySpark.torqueNm).map((value) => shown(value, 'torque', units)),
        every(bySpark.peakPressurePa).map((value) => shown(value, 'pressure', units)),
        every(bySpark.exhaustTemperatureK).map((value) => shown(value, 'temperature', units)),
      ],
    ),
    '',
    sweep(
      [`boost ${pressure}`, 'borderline deg', 'best torque deg'],
      [
        every(byBoost.boostPa).map((value) => shown(value, 'pressure', units)),
        every(byBoost.knockLimitAdvanceDeg).map((value) => figure(value, 1)),
        every(byBoost.bestTorqueAdvanceDeg).map((value) => figure(value, 1)),
      ],
    ),
    '',
    sweep(
      [`charge ${unitText('temperature', units)}`, 'borderline deg'],
      [
        every(byChargeTemperature.chargeTemperatureK).map((value) => shown(value, 'temperature', units)),
        every(byChargeTemperature.knockLimitAdvanceDeg).map((value) => figure(value, 1)),
      ],
    ),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
