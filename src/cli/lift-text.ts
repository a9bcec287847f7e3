/** Two builds compared, and sets of parts searched, as text. */
import {
  type FirstLimit,
  type Gain,
  type LiftComparisonView,
  type LiftSearchView,
  type LiftSet,
  type PartLift,
  type Regression,
  regressionWords,
} from '../app/index.ts';
import { fromSi, isUnit } from '../physics/index.ts';
import { airText, cautionText } from './match-text.ts';
import {
  type BandLike,
  bandShown,
  figure,
  type Kind,
  shown,
  shownWithUnit,
  table,
  type UnitSystem,
  unitText,
  wrap,
} from './print.ts';

/** "+12 (8-15)": a change with its sign. */
const gainShown = ({ p10, p50, p90 }: BandLike, write: (value: number) => string): string =>
  `${p50 > 0 ? '+' : ''}${write(p50)} (${write(p10)} to ${write(p90)})`;

const percents = (band: BandLike | undefined): string =>
  band ? `${figure(100 * band.p50, 0)} (${figure(100 * band.p10, 0)}-${figure(100 * band.p90, 0)})` : '-';

const money = (price: number, currency: string): string =>
  `${figure(price, Number.isInteger(price) ? 0 : 2)} ${currency}`;

/** Price for one more kilowatt, or horsepower. */
const perPower = (perW: number, currency: string, units: UnitSystem): string =>
  `${figure(perW / fromSi(1, units === 'us' ? 'hp' : 'kW'), 0)} ${currency} per ${unitText('power', units)}`;

const firstText = (first: readonly FirstLimit[]): string =>
  first.length === 0
    ? 'nothing within reach of the model'
    : first
        .slice(0, 3)
        .map(({ part, chance }) => `${part} (first in ${figure(100 * chance, 0)} of 100)`)
        .join(', ');

const regressionText = (regression: Regression, units: UnitSystem): string =>
  regressionWords(regression, (value, unit) => {
    if (unit === 'W') return shownWithUnit(value, 'power', units);
    if (unit === 'N m') return shownWithUnit(value, 'torque', units);
    return unit === 'rpm' ? `${figure(value, 0)} rpm` : `${figure(100 * value, 0)} %`;
  });

const gainRow = (name: string, gain: Gain, kind: Kind, units: UnitSystem): string[] => {
  // A difference has no offset; power, torque and pressure differences have none anyway.
  const write = (value: number) => shown(value, kind, units);
  return [
    `${name}, ${unitText(kind, units)}`,
    bandShown(gain.before, kind, units),
    bandShown(gain.after, kind, units),
    gainShown(gain.gain, write),
  ];
};

/** "turbocharger (9 numbers), injection (2 numbers)". */
const byGroup = (paths: readonly string[]): string => {
  const counts = new Map<string, number>();
  for (const path of paths) {
    const group = (path.split('.')[0] ?? path).replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
    counts.set(group, (counts.get(group) ?? 0) + 1);
  }
  return [...counts]
    .map(([group, count]) => `${group} (${count === 1 ? 'one number' : `${count} numbers`})`)
    .join(', ');
};

const valueIn = (valueSi: number, unit: string): string =>
  isUnit(unit) ? String(Number(fromSi(valueSi, unit).toPrecision(4))) : String(Number(valueSi.toPrecision(4)));

const changeLines = ({ changes, facts }: LiftComparisonView): string[] => {
  const own = changes.filter(({ follows }) => !follows);
  const following = changes.length - own.length;
  const lines = [
    ...facts.map(({ about, from, to }) => `  ${about}: ${from} -> ${to}`),
    ...own.map(
      ({ about, unit, fromSi: from, toSi: to }) =>
        `  ${about}: ${valueIn(from, unit)} -> ${valueIn(to, unit)}${unit === '1' ? '' : ` ${unit}`}`,
    ),
  ].map((line) => wrap(line, 100, '    '));
  if (following > 0) lines.push(`  ${following} estimates by engine class move with them.`);
  return lines.length > 0 ? lines : ['  Nothing: the two sheets say the same.'];
};

const partRow = (part: PartLift, units: UnitSystem): string[] => [
  part.part,
  percents(part.before?.utilisation),
  percents(part.after?.utilisation),
  part.before?.decides === false ? 'not counted' : bandShown(part.before?.powerAtLimitW, 'power', units),
  part.after?.decides === false ? 'not counted' : bandShown(part.after?.powerAtLimitW, 'power', units),
  part.after ? figure(100 * part.after.chanceFirst, 0) : '-',
];

export const comparisonText = (answer: LiftComparisonView, units: UnitSystem): string => {
  const { powerAtFirstLimitW, cost, boostArrivalRpm } = answer;
  const rpm = (value: number) => figure(value, 0);
  const gains = [
    gainRow('Power at the boost asked for', answer.powerW, 'power', units),
    gainRow('Torque at the boost asked for', answer.torqueNm, 'torque', units),
    gainRow('Power when the first part gives out', powerAtFirstLimitW, 'power', units),
    ...(boostArrivalRpm
      ? [
          [
            `${shownWithUnit(answer.arrivalBoostPa, 'pressure', units)} of boost there, rpm`,
            `${rpm(boostArrivalRpm.before.p50)} (${rpm(boostArrivalRpm.before.p10)}-${rpm(boostArrivalRpm.before.p90)})`,
            `${rpm(boostArrivalRpm.after.p50)} (${rpm(boostArrivalRpm.after.p10)}-${rpm(boostArrivalRpm.after.p90)})`,
            gainShown(boostArrivalRpm.gain, rpm),
          ],
        ]
      : []),
  ];
  const costLines =
    cost === null
      ? ['Cost: not known; give prices with --options FILE.']
      : [
          `Cost: ${money(cost.total, cost.currency)}${
            cost.items.length > 0
              ? ` (${cost.items.map(({ option, price }) => `${option} ${figure(price, 0)}`).join(', ')})`
              : ''
          }${cost.perW === undefined ? '' : `, ${perPower(cost.perW, cost.currency, units)} gained at the first limit`}.`,
          ...(cost.unpriced.length > 0 ? [`Changed but without a price: ${byGroup(cost.unpriced)}.`] : []),
        ];
  return [
    wrap(`From "${answer.before}" to "${answer.after}"`),
    wrap(
      `${airText(answer.conditions, units)}. p50 (p10-p90) of ${answer.samples} pairs of cars, alike in all that the two builds share: the band of a gain is the gain's own.`,
    ),
    '',
    'What changed:',
    ...changeLines(answer),
    '',
    table([{ head: '', words: true }, { head: 'before' }, { head: 'after' }, { head: 'gain' }], gains),
    '',
    wrap(`First to give out before: ${firstText(answer.first.before)}.`, 100, '  '),
    wrap(`First to give out after: ${firstText(answer.first.after)}.`, 100, '  '),
    ...costLines.map((line) => wrap(line, 100, '  ')),
    '',
    ...(answer.regressions.length > 0
      ? ['What gets worse:', ...answer.regressions.map((one) => wrap(`  ${regressionText(one, units)}`, 100, '    '))]
      : ['Nothing that the model sees gets worse.']),
    '',
    table(
      [
        { head: 'part', words: true },
        { head: 'used % before' },
        { head: 'after' },
        { head: `gives out ${unitText('power', units)} before` },
        { head: 'after' },
        { head: 'first %' },
      ],
      answer.parts.map((part) => partRow(part, units)),
    ),
    '',
    wrap(
      'Used: at the boost that each build asks for. A dash: no such row, or boost does not bring it there in reach.',
    ),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};

const nameOf = ({ parts }: LiftSet): string =>
  parts.length === 0 ? 'as it is fitted' : parts.map(({ option }) => option).join(', ');

const setLines = (set: LiftSet, { currency, target }: LiftSearchView, units: UnitSystem): string[] => [
  ...set.parts.map(({ place, option, price, needs }) =>
    wrap(`  ${place}: ${option}, ${money(price, currency)}${needs ? ` (needs ${needs})` : ''}`, 100, '    '),
  ),
  wrap(
    `  Together ${money(set.price, currency)}${set.pricePerW === undefined ? '' : `, ${perPower(set.pricePerW, currency, units)} gained`}. First part gives out at ${bandShown(set.powerAtFirstLimitW, 'power', units)} ${unitText('power', units)}${
      set.boostAtFirstLimitPa
        ? `, at ${bandShown(set.boostAtFirstLimitPa, 'pressure', units)} ${unitText('pressure', units)} of boost`
        : ''
    }; ${shownWithUnit(target.powerW, 'power', units)} is reached in ${figure(100 * set.chanceOfTarget, 0)} of 100.`,
    100,
    '  ',
  ),
  wrap(`  Gives out first then: ${firstText(set.first)}.`, 100, '  '),
  ...(set.first[0]?.lift[0] ? [wrap(`  To lift that: ${set.first[0].lift[0]}.`, 100, '  ')] : []),
  ...(set.alsoWatch.length > 0
    ? [
        wrap(
          `  Past its limit before then, but not counted: ${set.alsoWatch
            .map(
              ({ part, chance, usualRating }) =>
                `${part} (${figure(100 * chance, 0)} of 100${usualRating ? ', rating is common practice' : ''})`,
            )
            .join(', ')}. Count with --keep.`,
          100,
          '  ',
        ),
      ]
    : []),
];

/** Steps of the front that gain at least 1 % on the step before. */
const worthAStep = (front: readonly LiftSet[]): LiftSet[] => {
  let last = 0;
  return front.filter(({ surePowerW }) => {
    if (surePowerW < 1.01 * last) return false;
    last = surePowerW;
    return true;
  });
};

export const searchText = (answer: LiftSearchView, units: UnitSystem): string => {
  const { outcome, target, currency, counts } = answer;
  const chance = `${figure(100 * target.chance, 0)} of 100`;
  const wanted = `${shownWithUnit(target.powerW, 'power', units)} in ${chance} cases`;
  const says = outcome.reached
    ? `Cheapest that reaches ${wanted}: ${money(outcome.cheapest.price, currency)}.`
    : `${
        outcome.reason === 'no usable set'
          ? 'No set of these parts makes a usable build.'
          : outcome.reason === 'no set reaches the target'
            ? `No set of these parts reaches ${shownWithUnit(target.powerW, 'power', units)} before something gives out.`
            : `No set of these parts reaches ${wanted}.`
      }${outcome.best ? ` The best falls ${shownWithUnit(outcome.shortW, 'power', units)} short:` : ''}`;
  const named = outcome.reached ? outcome.cheapest : outcome.best;
  const steps = worthAStep(answer.front);
  const [head = '', ...rows] = table(
    [
      { head: currency },
      { head: `in ${chance}` },
      { head: `first limit ${unitText('power', units)}` },
      { head: 'target %' },
      { head: 'gives out first', words: true },
    ],
    steps.map((set) => [
      figure(set.price, Number.isInteger(set.price) ? 0 : 2),
      shown(set.surePowerW, 'power', units),
      bandShown(set.powerAtFirstLimitW, 'power', units),
      figure(100 * set.chanceOfTarget, 0),
      set.first[0]?.part ?? 'nothing',
    ]),
  ).split('\n');
  const lines = rows.flatMap((row, index) => [row, wrap(`        ${nameOf(steps[index]!)}`, 100, '        ')]);
  return [
    wrap(`${answer.build}: parts for ${wanted}`),
    wrap(
      `${airText(answer.conditions, units)}. ${counts.sets} sets of parts from "${answer.options}"; ${
        counts.exact
          ? `all solved with ${counts.samples} samples.`
          : `sorted by best estimate and few samples, ${counts.withFigures} of them solved with ${counts.samples} samples.`
      }`,
    ),
    '',
    wrap(says),
    ...(named ? setLines(named, answer, units) : []),
    '',
    `Sets that no other beats in price and in power reached in ${chance} cases:`,
    head,
    ...lines,
    ...(steps.length < answer.front.length
      ? [wrap(`Steps of less than 1 % of power are left out here; --json has all ${answer.front.length}.`)]
      : []),
    ...(answer.keptInside.length > 0
      ? ['', wrap(`Counted as limits because the options rate them or you asked: ${answer.keptInside.join(', ')}.`)]
      : []),
    ...answer.unusable
      .slice(0, 3)
      .map(({ parts, says: why }) => wrap(`Left out: ${parts.join(', ')} (${why}).`, 100, '  ')),
    '',
    cautionText(answer.cautions),
  ].join('\n');
};
