import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { momentWriter } from './clock-words.ts';

const log = (startS: number, endS: number, timeFormat = 'clock') => ({ startS, endS, dialect: { timeFormat } });

describe('moments of a log', () => {
  it('are seconds where the clock counts from a start', () => {
    const { moment, span } = momentWriter(log(0, 20, 's'));
    expect(moment(3.64)).toBe('3.6 s');
    expect(span(3.6, 13.7)).toBe('3.6 to 13.7 s');
    expect(momentWriter(log(49_316, 53_000, 's')).moment(51_324.94)).toBe('51,324.9 s');
    // A clock text of a few minutes is a stop watch.
    expect(momentWriter(log(0, 20)).moment(3.64)).toBe('3.6 s');
    expect(momentWriter(log(-1, 20, 's')).moment(-0.52)).toBe('-0.5 s');
  });
  it('are the time of day where the clock tells it', () => {
    // 2026-10-03 23:59:50, seconds since 1970 as `date -u +%s` (GNU coreutils) gives them.
    const { span, moment } = momentWriter(log(1_791_071_990, 1_791_072_010));
    expect(span(1_791_071_993.62, 1_791_072_003.7)).toBe('23:59:53.6 to 00:00:03.7');
    expect(moment(1_791_071_999.96)).toBe('00:00:00.0');
    expect(moment(1_791_071_999.96, 0)).toBe('00:00:00');
    expect(momentWriter(log(51_300, 51_400)).moment(51_324.94)).toBe('14:15:24.9');
  });
  it('agree with the calendar of the language (ECMA-262) on any second', () => {
    fc.assert(
      fc.property(fc.integer({ min: 946_684_800, max: 4_102_444_799 }), (second) => {
        const { moment } = momentWriter(log(second, second + 1));
        expect(moment(second, 0)).toBe(new Date(second * 1000).toISOString().slice(11, 19));
      }),
    );
  });
});
