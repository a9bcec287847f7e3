import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bandShown, figure, nearest, shown, shownWithUnit, table, WIDTH, wrap } from './print.ts';

describe('figures', () => {
  test('are rounded, grouped from five digits on, and never minus nought', () => {
    expect(figure(1234.5, 1)).toBe('1234.5');
    expect(figure(143_210.4, 0)).toBe('143,210');
    expect(figure(-0.04, 1)).toBe('0.0');
    expect(figure(undefined, 1)).toBe('-');
    expect(figure(Number.NaN, 1)).toBe('-');
  });

  // NIST SP 811 (2008) appendix B: 1 psi = 6894.757 Pa, 1 hp (550 ft lbf/s) = 745.6999 W, 1 lbf ft = 1.355818 N m,
  // 1 lb = 0.453 592 37 kg.
  test('come in the units of the reader', () => {
    expect(shownWithUnit(6894.757 * 20, 'pressure', 'us')).toBe('20.0 psi');
    expect(shownWithUnit(745.6999 * 300, 'power', 'us')).toBe('300 hp');
    expect(shownWithUnit(1.355818 * 250, 'torque', 'us')).toBe('250 lbf ft');
    expect(shownWithUnit((0.45359237 * 40) / 60, 'airFlow', 'us')).toBe('40.0 lb/min');
    expect(shown(373.15, 'temperature', 'us')).toBe('212');
    expect(shown(373.15, 'temperature', 'metric')).toBe('100');
    expect(bandShown({ p10: 100e3, p50: 110e3, p90: 125e3 }, 'power', 'metric')).toBe('110 (100-125)');
    expect(bandShown(undefined, 'power', 'metric')).toBe('-');
  });
});

describe('tables', () => {
  const words = fc.string({ minLength: 0, maxLength: 160 }).map((text) => text.replace(/\s/g, 'x'));

  test('never run past the width', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(words, fc.integer({ min: 0, max: 99_999 })), { minLength: 1, maxLength: 8 }),
        (rows) => {
          const text = table(
            [{ head: 'part', words: true }, { head: 'rpm' }],
            rows.map(([part, rpm]) => [part, String(rpm)]),
          );
          for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
        },
      ),
    );
  });

  test('line numbers up on the right and words on the left', () => {
    expect(
      table(
        [{ head: 'part', words: true }, { head: 'rpm' }],
        [
          ['pump', '900'],
          ['clutch', '12000'],
        ],
      ),
    ).toBe(['part      rpm', 'pump      900', 'clutch  12000'].join('\n'));
  });
});

test('wrapping keeps every word, in order, and the width', () => {
  fc.assert(
    fc.property(fc.array(fc.stringMatching(/^[a-z]{1,20}$/), { minLength: 1, maxLength: 60 }), (list) => {
      const text = wrap(list.join(' '), 40, '  ');
      expect(text.split(/\s+/).filter((word) => word !== '')).toEqual(list);
      for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(40);
    }),
  );
});

describe('the nearest name', () => {
  const names = ['match', 'headroom', 'review', 'import', 'serve', 'help', 'version'];
  test.each([
    ['macth', 'match'],
    ['headrom', 'headroom'],
    ['reviwe', 'review'],
    ['Servre', 'serve'],
    ['verison', 'version'],
  ])('%s is meant as %s', (typed, meant) => {
    expect(nearest(typed, names)).toBe(meant);
  });

  test('something else entirely is nobody', () => {
    expect(nearest('zzzzzzzz', names)).toBeUndefined();
  });
});
