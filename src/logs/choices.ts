/** Looks over what a person said of columns before it is used: what cannot be meant is refused in one sentence. */
import { readExpression } from './expression.ts';
import { KINDS, UNITLESS, unitFits } from './quantities.ts';
import { lineOf } from './scaling.ts';
import type { ChannelChoice } from './types.ts';
import { readUnitText, saysNoUnit } from './unit-text.ts';

/** Air-fuel ratios at lambda 1 of anything that burns in an engine lie between these. */
const AIR_FUEL = [2, 35] as const;

/** Why the unit of a choice cannot be its channel's, or null. */
const unitProblem = ({ channel, unit, scaling, expression }: ChannelChoice): string | null => {
  if (channel === null) return null;
  const { family } = KINDS[channel];
  if (family === 'count') return null;
  if (unit === undefined || saysNoUnit(unit)) {
    if (UNITLESS.has(family)) return null;
    if (scaling) return `say the unit that its scaling gives`;
    return expression === undefined ? null : 'say the unit that its expression gives';
  }
  const read = readUnitText(unit);
  if (!read) return `"${unit}" is no unit that is known`;
  // A level of knock is volts, counts or per cent of its own scale.
  if (channel === 'knock-level' || unitFits(read.unit, family)) return null;
  return `${unit} is no unit of ${channel}`;
};

const problemOf = (choice: ChannelChoice, headers: ReadonlySet<string>): string | null => {
  const { column, channel, airFuelAtLambdaOne: ratio, scaling, expression } = choice;
  const unit = unitProblem(choice);
  if (unit) return unit;
  if (ratio !== undefined && !(ratio >= AIR_FUEL[0] && ratio <= AIR_FUEL[1])) {
    return `an air-fuel ratio of ${ratio} at lambda 1 is none of a fuel; petrol has 14.7`;
  }
  if (scaling) {
    const line = lineOf(scaling);
    if (typeof line === 'string') return line;
  }
  if (expression === undefined) return null;
  if (channel === null) return null;
  if (headers.has(column)) return 'the file has a column of this name; give the derived channel another';
  if (scaling) return 'a derived channel takes no scaling; put it in the expression';
  const read = readExpression(expression);
  return read.ok ? null : `its expression cannot be read. ${read.says}`;
};

/** One sentence why the choices cannot be used with a file of these headers, or null. */
export const choiceProblem = (choices: readonly ChannelChoice[], headers: readonly string[]): string | null => {
  const known = new Set(headers);
  for (const choice of choices) {
    const problem = problemOf(choice, known);
    if (problem) return `What is chosen for "${choice.column}" cannot be used: ${problem.replace(/\.$/, '')}.`;
  }
  return null;
};

/** Columns that choices name and the file does not have; derived channels are none. */
export const strangersAmong = (choices: readonly ChannelChoice[], headers: readonly string[]): string[] => {
  const known = new Set(headers);
  return choices.flatMap(({ column, expression }) => (expression === undefined && !known.has(column) ? [column] : []));
};
