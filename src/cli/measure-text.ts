/** What to measure next, as text. */
import type { MeasureView } from '../app/index.ts';
import { fromSi, isUnit, spreadFromSi, type Unit } from '../physics/index.ts';
import { airText, cautionText } from './match-text.ts';
import { figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

type Answer = MeasureView['answers'][number];
type Measure = Answer['measure'][number];

const KIND = { W: 'power', Pa: 'pressure', K: 'temperature', '1': 'share' } as const;

const WIDTH_UNIT = {
  W: { metric: 'kW', us: 'hp' },
  Pa: { metric: 'kPa', us: 'psi' },
  '1': { metric: '%', us: '%' },
} as const satisfies Record<string, Record<UnitSystem, Unit>>;

/** A value of an answer in the reader's unit, without it. */
const value = (si: number, unit: string, units: UnitSystem): string => {
  if (unit === 'rpm') return figure(si, 0);
  if (unit === 'deg') return figure(si, 1);
  if (unit === 's') return figure(si, 2);
  return shown(si, KIND[unit as keyof typeof KIND], units);
};

/** The width of a band: a difference, so that a temperature is not moved to another nought. */
const width = (si: number, unit: string, units: UnitSystem): string => {
  if (unit === 'rpm') return figure(si, 0);
  if (unit === 'deg') return figure(si, 1);
  if (unit === 's') return figure(si, 2);
  if (unit === 'K') return figure(units === 'us' ? 1.8 * si : si, 1);
  return figure(fromSi(si, WIDTH_UNIT[unit as keyof typeof WIDTH_UNIT][units]), 1);
};

const unitOf = (unit: string, units: UnitSystem): string =>
  unit === 'rpm' || unit === 'deg' || unit === 's' ? unit : unitText(KIND[unit as keyof typeof KIND], units);

/** One standard deviation in the unit that the quantity is written in. */
const spread = (sdSi: number, unit: string): string => {
  if (unit === '%') return `${(100 * sdSi).toPrecision(2)} %`;
  if (!isUnit(unit)) return sdSi.toPrecision(2);
  const size = spreadFromSi(sdSi, unit);
  return `${Number(size.toPrecision(2))}${unit === '1' ? '' : ` ${unit.replace(/ (gauge|abs)$/, '')}`}`;
};

const measureLines = (one: Measure, index: number, answer: Answer, units: UnitSystem): string =>
  [
    wrap(
      `${index + 1}. ${one.name}: band ${width(one.bandNow, answer.unit, units)} ${unitOf(answer.unit, units)} wide now, ${width(one.bandThen, answer.unit, units)} expected then.`,
      100,
      '   ',
    ),
    wrap(
      `   Known to ${spread(one.sdNowSi, one.unit)} now, to ${spread(one.sdThenSi, one.unit)} once measured (one standard deviation; ${one.quantity}).`,
      100,
      '   ',
    ),
    wrap(`   ${one.how}`, 100, '   '),
  ].join('\n');

const SHARES_SHOWN = 8;

const detail = (answer: Answer, units: UnitSystem): string => {
  const unit = unitOf(answer.unit, units);
  const { p10, p50, p90 } = answer.band;
  return [
    wrap(
      `${answer.answer}, ${answer.about}: ${value(p50, answer.unit, units)} (${value(p10, answer.unit, units)}-${value(p90, answer.unit, units)}) ${unit}`,
    ),
    '',
    table(
      [{ head: 'of its variance %' }, { head: '+-' }, { head: 'moved by', words: true }],
      [
        ...answer.sensitivity
          .slice(0, SHARES_SHOWN)
          .map(({ share, standardError, about }) => [figure(100 * share, 0), figure(100 * standardError, 0), about]),
        [figure(100 * answer.rest, 0), '', 'nothing by itself: joint effects, and what these samples cannot tell'],
      ],
    ),
    '',
    ...(answer.measure.length > 0
      ? ['Measure next:', ...answer.measure.map((one, index) => measureLines(one, index, answer, units))]
      : [wrap('Nothing that can be measured in a garage would narrow it by 1 %: what moves it is learned from logs.')]),
  ].join('\n');
};

export const measureText = (view: MeasureView, units: UnitSystem): string => {
  const [only] = view.answers;
  const shownInFull = view.answers.length === 1 ? only : view.answers.find(({ answer }) => answer === 'first-limit');
  return [
    `${view.build}: what to measure next`,
    wrap(`${airText(view.conditions, units)}. From ${view.samples} cars inside the sheet's plus-minus.`),
    '',
    ...(view.answers.length > 1
      ? [
          table(
            [
              { head: 'answer', words: true },
              { head: 'p50' },
              { head: 'band' },
              { head: 'then' },
              { head: '', words: true },
              { head: 'measure', words: true },
            ],
            view.answers.map((answer) => [
              answer.answer,
              value(answer.band.p50, answer.unit, units),
              width(answer.band.p90 - answer.band.p10, answer.unit, units),
              answer.measure[0] ? width(answer.measure[0].bandThen, answer.unit, units) : '-',
              unitOf(answer.unit, units),
              answer.measure[0]?.name ?? 'nothing a garage can measure',
            ]),
          ),
          '',
          wrap(
            'band: from p10 to p90 now; then: expected once that one thing is measured. More on one: --answer NAME.',
          ),
          '',
        ]
      : []),
    ...(shownInFull ? [detail(shownInFull, units), ''] : []),
    cautionText(view.cautions),
  ].join('\n');
};
