/** A review as text. */
import { type MomentWriter, momentWriter, type ReviewAnswer, roadLoadText } from '../app/index.ts';
import { cautionText } from './match-text.ts';
import { bandShown, figure, type Kind, shownWithUnit, table, type UnitSystem, unitText, wrap } from './print.ts';

const SEVERITY_TEXT = {
  stop: 'STOP',
  fix: 'FIX BEFORE MORE BOOST',
  watch: 'WATCH',
  note: 'NOTE',
} as const;
const ORDER = ['stop', 'fix', 'watch', 'note'] as const;
const REFUSED_SHOWN = 5;

const SEPARATOR_TEXT: Readonly<Record<string, string>> = { ',': 'comma', ';': 'semicolon', '\t': 'tab', ' ': 'space' };

const time = (seconds: number): string => `${figure(seconds, 1)} s`;

const writtenAs = ({ dialect }: ReviewAnswer['log']): string => {
  if (dialect.format === 'mdf4') return 'a measurement file (ASAM MDF 4)';
  if (dialect.format === 'parquet') return 'a Parquet file';
  const separator = SEPARATOR_TEXT[dialect.separator] ?? dialect.separator;
  return `${dialect.encoding}, ${separator}-separated, decimal ${dialect.decimal === ',' ? 'comma' : 'point'}`;
};

/** The first of a list, and how many more there are. */
const firstOf = <T>(list: readonly T[], total: number, line: (one: T) => string): string[] => [
  ...list.slice(0, REFUSED_SHOWN).map((one) => wrap(`  ${line(one)}`, 100, '    ')),
  ...(total > REFUSED_SHOWN ? [`  and ${figure(total - REFUSED_SHOWN, 0)} more (--json)`] : []),
];

const fileLines = ({ log }: ReviewAnswer): string[] => [
  wrap(
    `${figure(log.rows, 0)} rows over ${time(log.endS - log.startS)} at about ${figure(log.medianRateHz, 0)} rows a second; ` +
      `${writtenAs(log)}.`,
  ),
  ...log.notes.map((note) => wrap(`Note: ${note}.`)),
  ...(log.rowsRefusedTotal > 0
    ? [
        `${figure(log.rowsRefusedTotal, 0)} rows refused:`,
        ...firstOf(log.rowsRefused, log.rowsRefusedTotal, ({ line, why }) => `line ${line}: ${why}`),
      ]
    : []),
  ...(log.columnsRefused.length > 0
    ? [
        `${figure(log.columnsRefused.length, 0)} columns not read:`,
        ...firstOf(log.columnsRefused, log.columnsRefused.length, ({ column, why }) => `${column}: ${why}`),
      ]
    : []),
  ...(log.cellsRefused.length > 0
    ? [
        `Cells that are no numbers, in ${figure(log.cellsRefused.length, 0)} ${log.cellsRefused.length === 1 ? 'column' : 'columns'}:`,
        ...firstOf(
          log.cellsRefused,
          log.cellsRefused.length,
          ({ column, count, line, text }) =>
            `${column}: ${figure(count, 0)}${line === undefined ? '' : `, first in line ${line} ("${text}")`}`,
        ),
      ]
    : []),
];

/** Units that say themselves whether they count from vacuum or from outside air. */
const SAYS_REFERENCE = /abs|gauge|(psi|bar|kpa)[ag]$/i;

const channelTable = ({ channels }: ReviewAnswer): string =>
  table(
    [
      { head: 'column', words: true },
      { head: 'read as', words: true },
      { head: 'unit', words: true },
      { head: 'sure %' },
      { head: 'per s' },
    ],
    channels.map(({ column, channel, unit, reference, confidence, rateHz }) => [
      column,
      channel,
      reference && !SAYS_REFERENCE.test(unit) ? `${unit} ${reference}` : unit,
      figure(100 * confidence, 0),
      figure(rateHz, rateHz < 10 ? 1 : 0),
    ]),
  );

/** What the log leaves open, what was taken, and what to put into a map file to answer otherwise. */
const questionLines = ({ questions }: ReviewAnswer): string[] =>
  questions.length === 0
    ? []
    : [
        'Questions of this log (answer with --map; an import remembers answers for the same columns):',
        ...questions.flatMap(({ asks, options: [taken, ...others] }) => [
          wrap(`  ${asks} Taken: ${taken?.says ?? 'nothing'}.`, 100, '    '),
          ...others.map(({ says, choices }) =>
            [`    if ${says}:`, ...choices.map((choice) => `      ${JSON.stringify(choice)}`)].join('\n'),
          ),
        ]),
      ];

const pullLines = ({ pulls }: ReviewAnswer, units: UnitSystem, moments: MomentWriter): string[] =>
  pulls.flatMap((pull, index) => {
    const { powerW } = pull;
    const gears = pull.gears.length > 0 ? `gear ${pull.gears.join(', ')}` : 'gear not known';
    const powers: [string, Parameters<typeof bandShown>[0]][] = [
      ['air', powerW.fromAir],
      ['fuel', powerW.fromFuel],
      ['acceleration', powerW.fromAcceleration],
      ['together', powerW.combined],
    ];
    const given = powers.filter(([, band]) => band).map(([from, band]) => `${from} ${bandShown(band, 'power', units)}`);
    const peaks = [
      pull.peakBoostPa !== undefined && `boost ${shownWithUnit(pull.peakBoostPa, 'pressure', units)}`,
      pull.peakAirFlowKgPerS !== undefined && `air ${shownWithUnit(pull.peakAirFlowKgPerS, 'airFlow', units)}`,
      pull.maxChargeTemperatureK !== undefined &&
        `charge ${shownWithUnit(pull.maxChargeTemperatureK, 'temperature', units)}`,
      pull.maxInjectorDuty !== undefined && `duty ${figure(100 * pull.maxInjectorDuty, 0)} %`,
      pull.minLambda !== undefined &&
        pull.maxLambda !== undefined &&
        `lambda ${figure(pull.minLambda, 2)}-${figure(pull.maxLambda, 2)}`,
      pull.maxKnockRetardDeg !== undefined && `knock retard ${figure(pull.maxKnockRetardDeg, 1)} deg`,
    ].filter((text) => text !== false);
    return [
      wrap(
        `Pull ${index + 1}: ${moments.span(pull.startS, pull.endS)}, ${gears}, ` +
          `${figure(pull.minEngineSpeedRpm, 0)} to ${figure(pull.maxEngineSpeedRpm, 0)} rpm`,
      ),
      ...(peaks.length > 0 ? [wrap(`  ${peaks.join(', ')}`, 100, '  ')] : []),
      given.length > 0
        ? wrap(
            `  peak crank power, ${unitText('power', units)}: ${given.join('; ')}` +
              (pull.powerEngineSpeedRpm === undefined ? '' : ` at ${figure(pull.powerEngineSpeedRpm, 0)} rpm`),
            100,
            '  ',
          )
        : '  power: not enough channels to work it out',
      ...(powerW.disagreement ? [wrap(`  they do not agree: ${powerW.disagreement}`, 100, '  ')] : []),
    ];
  });

type Finding = ReviewAnswer['findings'][number];
type Figure = Exclude<NonNullable<Finding['told']>[number], string>;

const KIND_OF: Readonly<Record<Exclude<Figure['quantity'], 'moment' | 'temperature-difference'>, Kind>> = {
  pressure: 'pressure',
  temperature: 'temperature',
  'air-flow': 'airFlow',
  'road-speed': 'roadSpeed',
};

const figureText = ({ quantity, valueSi, written }: Figure, units: UnitSystem, moments: MomentWriter): string => {
  if (quantity === 'moment') return moments.moment(valueSi);
  if (units === 'metric') return written;
  if (quantity === 'temperature-difference') return `${figure(valueSi * 1.8, 0)} °F`;
  return shownWithUnit(valueSi, KIND_OF[quantity], units);
};

/** What a finding says, its figures in the reader's units. */
const saysText = ({ says, told }: Finding, units: UnitSystem, moments: MomentWriter): string =>
  told?.map((part) => (typeof part === 'string' ? part : figureText(part, units, moments))).join('') ?? says;

const findingLines = ({ findings }: ReviewAnswer, units: UnitSystem, moments: MomentWriter): string[] =>
  ORDER.flatMap((severity) =>
    findings
      .filter((finding) => finding.severity === severity)
      .flatMap((finding) => [
        '',
        `${SEVERITY_TEXT[severity]}  ${finding.id}  ${moments.span(finding.startS, finding.endS)}  (${figure(100 * finding.confidence, 0)} % sure)`,
        wrap(`  ${saysText(finding, units, moments)}`, 100, '  '),
        ...(finding.couldAlsoBe.length > 0
          ? [wrap(`  Could also be: ${finding.couldAlsoBe.join('; ')}.`, 100, '  ')]
          : []),
        wrap(`  Next: ${finding.next}`, 100, '  '),
        wrap(`  Source: ${finding.source}`, 100, '  '),
      ]),
  );

/** Of what a rule needs, what the log does not have. */
const missing = ({ channels }: ReviewAnswer, needs: readonly string[]): string => {
  const lacking = needs.filter((name) => !channels.some(({ channel }) => channel === name));
  return (lacking.length > 0 ? lacking : needs).join(', ');
};

export const reviewText = (answer: ReviewAnswer, units: UnitSystem): string => {
  const { unrecognised, notChecked, problems } = answer;
  const moments = momentWriter(answer.log);
  return [
    `${answer.log.file}: what happened in this run`,
    ...fileLines(answer),
    '',
    channelTable(answer),
    ...(unrecognised.length > 0
      ? [wrap(`Not recognised: ${unrecognised.map(({ column }) => column).join(', ')}.`, 100, '  ')]
      : []),
    ...questionLines(answer),
    '',
    ...(answer.pulls.length > 0
      ? pullLines(answer, units, moments)
      : ['No pull: nowhere was the pedal full for long enough.']),
    '',
    answer.findings.length > 0
      ? `${answer.findings.length} ${answer.findings.length === 1 ? 'finding' : 'findings'}, gravest first`
      : 'No findings in what could be checked.',
    ...findingLines(answer, units, moments),
    ...(answer.knock
      ? [
          '',
          'Knock, as shown so far (relative, never a guarantee):',
          wrap(`  ${answer.knock.says}`, 100, '  '),
          wrap(
            '  To carry it on, enter learned.knockLimit with that plus-minus on the build sheet, source logged.',
            100,
            '  ',
          ),
        ]
      : []),
    ...(answer.roadLoad
      ? [
          '',
          'Road load, from coasting:',
          wrap(
            `  ${roadLoadText(answer.roadLoad, {
              force: (newtons) => shownWithUnit(newtons, 'force', units),
              speed: (speed) => shownWithUnit(speed, 'roadSpeed', units),
            })}`,
            100,
            '  ',
          ),
        ]
      : []),
    ...(notChecked.length > 0
      ? [
          '',
          'Not checked:',
          ...notChecked.map(({ id, needs }) => wrap(`  ${id}: needs ${missing(answer, needs)}`, 100, '    ')),
        ]
      : []),
    ...(problems.length > 0
      ? [
          '',
          'Could not be worked out:',
          ...problems.map(({ about, reason }) => wrap(`  ${about}: ${reason}`, 100, '    ')),
        ]
      : []),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
