/** A comparison of runs as text. */
import { type CompareView, type ComparisonView, phrasesText } from '../app/index.ts';
import { fromSi, isUnit, spreadFromSi, type Unit } from '../physics/index.ts';
import { cautionText } from './match-text.ts';
import { type BandLike, figure, type Kind, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

type Row = ComparisonView['speeds'][number];
type Reading = keyof Row['readings'];

/** Readings with a column of their own, in this order; `kind` null is written as it is kept, times `factor`. */
const READINGS: readonly (readonly [Reading, string, Kind | null, number, number])[] = [
  ['boost', 'boost', 'pressure', 1, 0],
  ['charge-temperature', 'charge', 'temperature', 1, 0],
  ['lambda', 'lambda', null, 1, 3],
  ['spark-advance', 'spark deg', null, 1, 1],
  ['injector-duty', 'duty %', null, 100, 1],
  ['knock-retard', 'retard deg', null, 1, 1],
  ['air-flow', 'air', 'airFlow', 1, 0],
];

const SHOWN_UNIT: Readonly<Record<UnitSystem, Partial<Record<Kind, Unit>>>> = {
  metric: { pressure: 'kPa', temperature: 'K', airFlow: 'g/s', power: 'kW', torque: 'N m' },
  us: { pressure: 'psi', temperature: 'degF', airFlow: 'lb/min', power: 'hp', torque: 'lbf ft' },
};

/** A difference in the reader's unit: no offset of temperature scales. */
const differenceIn = (si: number, kind: Kind, units: UnitSystem): number => {
  const unit = SHOWN_UNIT[units][kind];
  return unit === undefined ? si : spreadFromSi(si, unit);
};

const signed = (value: number, decimals: number): string => {
  const text = figure(value, decimals);
  return Number(text) > 0 ? `+${text}` : text;
};

const half = ({ p10, p90 }: BandLike): number => (p90 - p10) / 2;

const differenceShown = (band: BandLike, kind: Kind, units: UnitSystem, decimals = 0): string =>
  `${signed(differenceIn(band.p50, kind, units), decimals)} ±${figure(differenceIn(half(band), kind, units), decimals)}`;

/** The first sentences in the reader's units. */
const saysText = (comparison: ComparisonView, units: UnitSystem): string =>
  phrasesText(comparison.says, ({ valueSi, plusMinusSi, signed: plus }) => {
    const value = differenceIn(valueSi, 'power', units);
    const text = plus ? signed(value, 0) : figure(value, 0);
    const spread = plusMinusSi === undefined ? '' : ` ±${figure(differenceIn(plusMinusSi, 'power', units), 0)}`;
    return `${text}${spread} ${unitText('power', units)}`;
  });

const powerTable = ({ speeds }: ComparisonView, names: readonly [string, string], units: UnitSystem): string => {
  const unit = unitText('power', units);
  const corrected = speeds.some(({ sameAir }) => sameAir);
  return table(
    [
      { head: 'gear' },
      { head: 'rpm' },
      { head: `${names[0]} ${unit}` },
      { head: `${names[1]} ${unit}` },
      { head: `difference ${unit}` },
      { head: unitText('torque', units) },
      ...(corrected ? [{ head: `same air: ${names[0]}` }, { head: names[1] }, { head: 'difference' }] : []),
    ],
    speeds
      .filter(({ asMeasured }) => asMeasured)
      .map(({ gear, engineSpeedRpm, asMeasured, sameAir }) => [
        gear === null ? '-' : String(gear),
        figure(engineSpeedRpm, 0),
        shown(asMeasured!.firstW.p50, 'power', units),
        shown(asMeasured!.secondW.p50, 'power', units),
        differenceShown(asMeasured!.differenceW, 'power', units),
        differenceShown(asMeasured!.differenceNm, 'torque', units),
        ...(corrected
          ? [
              shown(sameAir?.firstW.p50, 'power', units),
              shown(sameAir?.secondW.p50, 'power', units),
              sameAir ? differenceShown(sameAir.differenceW, 'power', units) : '-',
            ]
          : []),
      ]),
  );
};

const readingTable = ({ speeds }: ComparisonView, units: UnitSystem): string => {
  const logged = READINGS.filter(([name]) => speeds.some(({ readings }) => readings[name]));
  return table(
    [
      { head: 'gear' },
      { head: 'rpm' },
      ...logged.map(([, head, kind]) => ({
        head:
          kind === null
            ? head
            : `${head} ${kind === 'temperature' && units === 'metric' ? 'K' : unitText(kind, units)}`,
      })),
    ],
    speeds.map(({ gear, engineSpeedRpm, readings }) => [
      gear === null ? '-' : String(gear),
      figure(engineSpeedRpm, 0),
      ...logged.map(([name, , kind, factor, decimals]) => {
        const difference = readings[name]?.difference;
        if (!difference) return '-';
        const extra = kind === 'pressure' || kind === 'airFlow' ? 1 : decimals;
        if (kind !== null) return differenceShown(difference, kind, units, extra);
        return `${signed(difference.p50 * factor, decimals)} ±${figure(half(difference) * factor, decimals)}`;
      }),
    ]),
  );
};

const changeLines = ({ changes, facts }: ComparisonView): string[] => {
  const written = (si: number, unit: string) => figure(isUnit(unit) ? fromSi(si, unit) : si, 3).replace(/\.?0+$/, '');
  return [
    ...changes.map(
      ({ about, unit, fromSi: from, toSi: to, estimated }) =>
        `  ${about}: ${written(from, unit)} to ${written(to, unit)}${unit === '1' ? '' : ` ${unit}`}${estimated ? ' (one side estimated)' : ''}`,
    ),
    ...facts.map(({ about, from, to }) => `  ${about}: ${from} to ${to}`),
  ];
};

const comparisonLines = (view: CompareView, comparison: ComparisonView, units: UnitSystem): string[] => {
  const [first, second] = [view.sides[comparison.first]!, view.sides[comparison.second]!];
  const names = [first.name, second.name] as const;
  const changed = changeLines(comparison);
  const { sameAir, common, notCommon, problems } = comparison;
  const powers = comparison.speeds.some(({ asMeasured }) => asMeasured);
  if (comparison.speeds.length === 0) return [wrap(saysText(comparison, units)), ...problems.map((text) => wrap(text))];
  return [
    wrap(saysText(comparison, units)),
    ...problems.map((text) => wrap(text)),
    ...(powers
      ? ['', 'Crank power, and the difference in power and torque', powerTable(comparison, names, units)]
      : []),
    '',
    `Readings: ${second.name} less ${first.name}`,
    readingTable(comparison, units),
    '',
    ...(sameAir
      ? [
          wrap(
            `Same air: SAE J1349, factor ${figure(sameAir.firstFactor.p50, 3)} ±${figure(half(sameAir.firstFactor), 3)} for ${first.name} ` +
              `and ${figure(sameAir.secondFactor.p50, 3)} ±${figure(half(sameAir.secondFactor), 3)} for ${second.name}.`,
          ),
        ]
      : []),
    ...(common.length > 0 ? [wrap(`Alike, so no part of the difference: ${common.join(' ')}`, 100, '  ')] : []),
    ...(notCommon.length > 0 ? [wrap(`In the plus-minus: ${notCommon.join(' ')}`, 100, '  ')] : []),
    ...(changed.length > 0
      ? ['', 'What changed in the build:', ...changed.map((text) => wrap(text, 100, '    '))]
      : ['No change in the build.']),
  ];
};

export const compareText = (view: CompareView, units: UnitSystem): string =>
  [
    ...view.sides.map(
      ({ name, fileName, runId, pull, pulls, buildLabel, ambientTemperatureK, barometricPressurePa, findings }) =>
        wrap(
          `${name}  ${runId ?? fileName}, pull ${pull} of ${pulls.length}, build "${buildLabel}", ` +
            `${shown(ambientTemperatureK, 'temperature', units)} ${unitText('temperature', units)}, ` +
            `${shown(barometricPressurePa, 'pressure', units)} ${unitText('pressure', units)}` +
            (findings.length > 0 ? `; findings: ${findings.map(({ id }) => id).join(', ')}` : ''),
          100,
          '   ',
        ),
    ),
    ...view.comparisons.flatMap((comparison) => ['', ...comparisonLines(view, comparison, units)]),
    '',
    cautionText(view.cautions),
  ].join('\n');
