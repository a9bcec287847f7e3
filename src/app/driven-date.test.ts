import { expect, it } from 'vitest';
import { drivenDateOf } from './driven-date.ts';

const NOW = Date.UTC(2031, 4, 20, 12);

it('takes what a person says, then the log, then the file', () => {
  const known = { drivenAt: '2031-05-01T18:00:00', fileDate: '2031-05-03T08:00:00' };
  expect(drivenDateOf(known, '2031-05-02T19:00:00', NOW)).toEqual({ at: '2031-05-01T18:00:00', by: 'typed' });
  const { fileDate } = known;
  expect(drivenDateOf({ fileDate }, '2031-05-02T19:00:00', NOW)).toEqual({ at: '2031-05-02T19:00:00', by: 'log' });
  expect(drivenDateOf({ fileDate }, undefined, NOW)).toEqual({ at: '2031-05-03T08:00:00', by: 'file' });
  expect(drivenDateOf({}, undefined, NOW)).toBeNull();
});

it('believes no date of the future and none of a clock that was never set', () => {
  expect(drivenDateOf({ fileDate: '2031-05-03T08:00:00' }, '2033-01-01T00:00:00', NOW)?.by).toBe('file');
  expect(drivenDateOf({ fileDate: '1980-01-01T00:00:00' }, '2000-01-01T00:10:00', NOW)).toBeNull();
  // East of here it is tomorrow already.
  expect(drivenDateOf({}, '2031-05-21T01:00:00', NOW)?.by).toBe('log');
});
