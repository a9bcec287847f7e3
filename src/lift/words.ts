/** Sentences for what a change makes worse; whoever prints them brings the units. */
import type { Regression } from './types.ts';

/** Writes an SI value (or a difference) with its unit, like "12 kW". */
export type WriteFigure = (value: number, unit: Regression['unit']) => string;

const percent = (share: number): string => `${Math.round(100 * share)} %`;
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** One sentence: the figure, then what it was. */
export const regressionWords = (regression: Regression, write: WriteFigure): string => {
  const { kind, part = 'a part', unit, before, after, change } = regression;
  const by = write(Math.abs(change.p50), unit);
  const fromTo = `${write(after.p50, unit)} instead of ${write(before.p50, unit)}`;
  switch (kind) {
    case 'less power':
      return `Less power at the boost asked for: ${fromTo}.`;
    case 'less power at the first limit':
      return `Less power before the first part gives out: ${fromTo}.`;
    case 'later boost':
      return `Boost comes ${by} later: at ${fromTo}.`;
    case 'less torque':
      return `Less torque: ${by} missing at ${write(regression.engineSpeedRpm ?? 0, 'rpm')} (${fromTo}).`;
    case 'past its limit':
      return part === 'injectors at idle'
        ? `Injectors at idle: the pulse is shorter than they meter evenly, ${percent(after.p50)} of it used instead of ${percent(before.p50)}.`
        : `${capital(part)}: past its limit at the boost asked for, ${percent(after.p50)} used instead of ${percent(before.p50)}.`;
    case 'less headroom':
      return `${capital(part)}: less left, ${percent(after.p50)} used instead of ${percent(before.p50)}.`;
    case 'now first':
      return `Now first to give out: ${part}, in ${Math.round(100 * after.p50)} of 100 samples.`;
    case 'known less well':
      return `Known less well: the power at the first limit lies in a band of ${write(after.p90 - after.p10, unit)}, before it was ${write(before.p90 - before.p10, unit)}. Type in what you can find out about the new part.`;
  }
};
