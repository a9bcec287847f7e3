/** The match as text. */
import type { MatchAnswer } from '../app/index.ts';
import { bandShown, figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

const CASE_TEXT = { 'boost held': 'held', 'wastegate shut': 'shut', 'wastegate open': 'open' } as const;
const ROW_STEP_RPM = 500;

type Point = MatchAnswer['points'][number];

/** "Air outside: 15 °C, 101 kPa, 0 % humidity". */
export const airText = (conditions: MatchAnswer['conditions'], units: UnitSystem): string =>
  `Air outside: ${shown(conditions.ambientTemperatureK, 'temperature', units)} ${unitText('temperature', units)}, ` +
  `${shown(conditions.ambientPressurePa, 'pressure', units)} ${unitText('pressure', units)}, ` +
  `${figure(100 * conditions.relativeHumidity, 0)} % humidity`;

/** Cautions, each a wrapped paragraph. */
export const cautionText = (cautions: readonly string[]): string =>
  cautions.map((text) => wrap(`Caution: ${text}`, 100, '  ')).join('\n');

const highest = (points: readonly Point[], key: 'powerW' | 'torqueNm'): Point | undefined =>
  points.reduce<Point | undefined>(
    (best, point) => (best && best[key].p50 >= point[key].p50 ? best : point),
    undefined,
  );

/** Problems of the same kind in one line, with the engine speeds between which they stand. */
const problemLines = (problems: MatchAnswer['problems']): string[] => {
  const byReason = new Map<string, { low: number; high: number; says: string }>();
  for (const { engineSpeedRpm, reason, says } of problems) {
    const known = byReason.get(reason);
    if (known) known.high = engineSpeedRpm;
    else byReason.set(reason, { low: engineSpeedRpm, high: engineSpeedRpm, says });
  }
  return [...byReason].map(([reason, { low, high, says }]) => {
    const where = low === high ? `${figure(low, 0)} rpm` : `${figure(low, 0)} to ${figure(high, 0)} rpm`;
    return wrap(`${where}: ${reason}. At the lowest of these: ${says}`, 100, '  ');
  });
};

export const matchText = (answer: MatchAnswer, units: UnitSystem, all: boolean): string => {
  const { points } = answer;
  const power = highest(points, 'powerW');
  const torque = highest(points, 'torqueNm');
  const keep = (point: Point, index: number) =>
    all ||
    point.engineSpeedRpm % ROW_STEP_RPM === 0 ||
    point === power ||
    point === torque ||
    index === points.length - 1;
  const rows = points
    .filter(keep)
    .map((point) => [
      figure(point.engineSpeedRpm, 0),
      CASE_TEXT[point.case],
      shown(point.boostPa.p50, 'pressure', units),
      shown(point.airFlowKgPerS.p50, 'airFlow', units),
      shown(point.chargeTemperatureK.p50, 'temperature', units),
      figure(point.lambda.p50, 2),
      figure(100 * point.injectorDuty.p50, 0),
      shown(point.exhaustPressurePa.p50, 'pressure', units),
      bandShown(point.torqueNm, 'torque', units),
      bandShown(point.powerW, 'power', units),
    ]);
  const head = (text: string, kind: Parameters<typeof unitText>[0]) => ({ head: `${text} ${unitText(kind, units)}` });
  const columns = [
    { head: 'rpm' },
    { head: 'gate', words: true },
    head('boost', 'pressure'),
    head('air', 'airFlow'),
    head('charge', 'temperature'),
    { head: 'lambda' },
    { head: 'duty %' },
    head('exh.', 'pressure'),
    head('torque', 'torque'),
    head('power', 'power'),
  ];
  const best = [
    power &&
      `Most power   ${bandShown(power.powerW, 'power', units)} ${unitText('power', units)} at ${figure(power.engineSpeedRpm, 0)} rpm`,
    torque &&
      `Most torque  ${bandShown(torque.torqueNm, 'torque', units)} ${unitText('torque', units)} at ${figure(torque.engineSpeedRpm, 0)} rpm`,
  ].filter((line) => line !== undefined);
  const problems = problemLines(answer.problems);
  return [
    `${answer.build}: what it will do at full throttle`,
    wrap(
      `${airText(answer.conditions, units)}. Crank figures, p50 (p10-p90) of ${answer.samples} cars inside the sheet's plus-minus.`,
    ),
    '',
    ...best,
    '',
    table(columns, rows),
    '',
    wrap('gate: held = the wastegate holds the boost asked for; shut = not reached yet; open = boost creeps past it.'),
    ...(problems.length > 0 ? ['', 'What gets in the way:', ...problems] : []),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
