/** Numbers as people type them. Ways of writing: decimal sign and grouping as in the SI brochure (2019), 5.4.4, and trade habit. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readNumber, readPasted, withPasted } from './typed.ts';

describe('a typed number', () => {
  test.each<[string, number]>([
    ['330', 330],
    [' 9,5 ', 9.5],
    ['9.5', 9.5],
    ['1 598', 1598],
    ['1\u202f598,5', 1598.5],
    ['1,598.5', 1598.5],
    ['1.598,5', 1598.5],
    ['1,234,567', 1234567],
    ['1.234.567', 1234567],
    ['0,900', 0.9],
    ['2.480', 2.48],
    ['−5', -5],
    ['3.5e-5', 3.5e-5],
    ['.85', 0.85],
    ['12.', 12],
  ])('%s is %d', (text, value) => {
    expect(readNumber(text)).toEqual({ ok: true, value });
  });

  test.each<[string, RegExp]>([
    ['', /type a number/],
    ['6,900', /write 6900 or 6.900: 6,900 can be read as either/],
    ['330 cc', /expected a number, got “330 cc”/],
    ['330 44', /expected a number/],
    ['1e999', /expected a number/],
    ['1,5,2', /expected a number/],
    ['NaN', /expected a number/],
    ['Infinity', /expected a number/],
  ])('“%s” is refused in words', (text, says) => {
    expect(readNumber(text)).toMatchObject({ ok: false, says: expect.stringMatching(says) });
  });

  test('what a computer writes comes back', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e9, max: 1e9 }), (value) => {
        expect(readNumber(String(value))).toEqual({ ok: true, value: value === 0 ? 0 : value });
      }),
    );
  });
});

describe('pasted cells', () => {
  test('columns of a spreadsheet, with names above', () => {
    expect(readPasted('rpm\tboost\r\n2000\t80\r\n4000\t140\r\n', 2)).toEqual({
      rows: [
        ['2000', '80'],
        ['4000', '140'],
      ],
      headingLeftOut: true,
    });
  });

  test('two long rows are turned upright', () => {
    expect(readPasted('rpm\t2000\t4000\nboost\t80\t140', 2).rows).toEqual([
      ['2000', '80'],
      ['4000', '140'],
    ]);
  });

  test.each<[string, string]>([
    ['a column', '3.31\n1.95\n1.36'],
    ['a row', '3.31\t1.95\t1.36'],
    ['a sentence', '3.31, 1.95, 1.36'],
    ['with decimal commas', '3,31; 1,95; 1,36'],
  ])('gears as %s', (_what, text) => {
    const { rows } = readPasted(text, 1);
    expect(rows.map(([cell]) => readNumber(cell ?? ''))).toEqual(
      [3.31, 1.95, 1.36].map((value) => ({ ok: true, value })),
    );
  });

  test('are put in from a place on, and the table grows', () => {
    const rows = [
      ['1000', '1'],
      ['2000', '2'],
    ];
    expect(withPasted(rows, { rows: [['7'], ['8'], ['9']], headingLeftOut: false }, 1, 1, 2)).toEqual([
      ['1000', '1'],
      ['2000', '7'],
      ['', '8'],
      ['', '9'],
    ]);
  });
});
