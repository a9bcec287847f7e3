/** Part load as text. */
import type { LoadView } from '../app/index.ts';
import { airText, cautionText } from './match-text.ts';
import { type BandLike, bandShown, figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

/** Fuel in g/s or lb/h, consumption in g/kWh or lb/(hp h). Factors: NIST SP 811 (2008) appendix B. */
const FUEL = {
  metric: { flow: 1000, flowUnit: 'g/s', flowDecimals: 2, perWork: 3.6e9, perWorkUnit: 'g/kWh', perWorkDecimals: 0 },
  us: {
    flow: 3600 / 0.45359237,
    flowUnit: 'lb/h',
    flowDecimals: 1,
    perWork: (3600 * 745.69987) / 0.45359237,
    perWorkUnit: 'lb/(hp h)',
    perWorkDecimals: 3,
  },
} as const satisfies Record<UnitSystem, object>;

const scaled = (band: BandLike, factor: number, decimals: number): string => {
  const text = (value: number) => figure(value * factor, decimals);
  return `${text(band.p50)} (${text(band.p10)}-${text(band.p90)})`;
};

export const loadText = (answer: LoadView, units: UnitSystem): string => {
  const fuel = FUEL[units];
  const rows = answer.points.map((point) => [
    figure(point.engineSpeedRpm, 0),
    shown(point.torqueNm, 'torque', units),
    scaled(point.fuelFlowKgPerS, fuel.flow, fuel.flowDecimals),
    scaled(point.fuelConsumptionKgPerJ, fuel.perWork, fuel.perWorkDecimals),
    bandShown(point.manifoldPressurePa, 'pressure', units),
    figure(point.lambda.p50, 2),
    figure(point.sparkAdvanceDeg.p50, 0),
    figure(100 * point.brakeEfficiency.p50, 1),
  ]);
  const full = answer.fullLoad.map(
    ({ engineSpeedRpm, torqueNm }) => `${figure(engineSpeedRpm, 0)} rpm ${bandShown(torqueNm, 'torque', units)}`,
  );
  const byReason = new Map<string, { count: number; says: string }>();
  for (const { reason, says } of answer.problems) {
    const known = byReason.get(reason);
    if (known) known.count += 1;
    else byReason.set(reason, { count: 1, says });
  }
  const problems = [...byReason].map(([reason, { count, says }]) =>
    wrap(`  ${reason}: ${count} of the points asked for. The first: ${says}`, 100, '    '),
  );
  const assumed = answer.assumed.map(({ about, valueSi, sdSi, source }) =>
    wrap(`  ${about}: ${figure(valueSi, 2)} (plus-minus ${figure(sdSi, 2)}). ${source}.`, 100, '    '),
  );
  return [
    `${answer.build}: fuel flow at part load`,
    wrap(
      `${airText(answer.conditions, units)}. p50 (p10-p90) of ${answer.samples} engines inside the plus-minus of what is known. ` +
        'Oil and water pump run, the alternator does not charge.',
    ),
    '',
    table(
      [
        { head: 'rpm' },
        { head: `torque ${unitText('torque', units)}` },
        { head: `fuel ${fuel.flowUnit}` },
        { head: `BSFC ${fuel.perWorkUnit}` },
        { head: `manifold ${unitText('pressure', units)}` },
        { head: 'lambda' },
        { head: 'spark' },
        { head: 'eff. %' },
      ],
      rows,
    ),
    '',
    wrap(`Full load, ${unitText('torque', units)}: ${full.join('; ')}.`, 100, '  '),
    ...(problems.length > 0 ? ['', 'Out of reach:', ...problems] : []),
    '',
    'Taken by engine class, because no sheet says it:',
    ...assumed,
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
