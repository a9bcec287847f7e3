import { describe, expect, it } from 'vitest';
import { clockSeconds } from './clock-text.ts';
import { cellKind, parseCell, splitRecords } from './records.ts';

const fields = (text: string, separator = ','): string[][] =>
  splitRecords(text, separator).map((record) => [...record.fields]);

describe('splitRecords keeps RFC 4180 (Y. Shafranovich, IETF, 2005), section 2', () => {
  it('CV-01: plain records end with CR LF (rule 1)', () => {
    expect(fields('aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n')).toEqual([
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ]);
  });
  it('CV-02: the last record needs no line break (rule 2)', () => {
    expect(fields('aaa,bbb\r\nccc,ddd')).toEqual([
      ['aaa', 'bbb'],
      ['ccc', 'ddd'],
    ]);
  });
  it('CV-03: quoted fields hold line breaks (rule 6)', () => {
    expect(fields('"aaa","b\r\nbb","ccc"\r\n')).toEqual([['aaa', 'b\r\nbb', 'ccc']]);
  });
  it('CV-04: a doubled quote is a quote (rule 7)', () => {
    expect(fields('"aaa","b""bb","ccc"')).toEqual([['aaa', 'b"bb', 'ccc']]);
  });
  it('CV-05: spaces are part of a field (rule 4)', () => {
    expect(fields('a, b ,c')).toEqual([['a', ' b ', 'c']]);
  });
  it('CV-06: fields may be empty (rule 4)', () => {
    expect(fields('a,,c\r\n,,\r\n')).toEqual([
      ['a', '', 'c'],
      ['', '', ''],
    ]);
  });
  it('CV-07: lines may end with LF alone (common practice, no source)', () => {
    expect(fields('a,b\nc,d\n')).toEqual([
      ['a', 'b'],
      ['c', 'd'],
    ]);
  });
  it('counts physical lines through quoted line breaks and blank lines', () => {
    expect(splitRecords('"x\ny",z\n\n1,2\n', ',').map(({ line }) => line)).toEqual([1, 4]);
  });
  it('takes a quote that is never closed for a plain character', () => {
    expect(fields('a,"b\nc,d\n'.padEnd(6000, 'e,f\n')).length).toBeGreaterThan(1000);
  });
});

describe('cells', () => {
  it.each([
    ['12', 'integer'],
    ['-1.5e3', 'point'],
    ['.5', 'point'],
    ['0,10', 'comma'],
    ['13:41:34.611', 'clock'],
    ['2031-01-26 18:03:05', 'clock'],
    ['  ', 'blank'],
    ['n/a', 'missing'],
    ['rpm', 'text'],
    ['1.2.3', 'text'],
    ['840.0 rpm', 'measure'],
    ['1,840.0 rpm', 'measure'],
    ['1.840,2 rpm', 'measure'],
    ["1'840.2 rpm", 'measure'],
  ])('%s is %s', (text, kind) => {
    expect(cellKind(text)).toBe(kind);
  });
  it('reads grouped numbers, switches in words and decimal commas; marks what it cannot read', () => {
    expect(parseCell('1,234.5', '.').value).toBe(1234.5);
    expect(parseCell('1.234,5', ',').value).toBe(1234.5);
    expect(parseCell('1,234.5 rpm', '.').value).toBe(1234.5);
    expect(parseCell('1.234,5 1/min', ',').value).toBe(1234.5);
    expect(parseCell('ON', '.').value).toBe(1);
    expect(parseCell('0,10', ',').value).toBe(0.1);
    expect(parseCell('', '.')).toEqual({ value: Number.NaN, readable: true });
    expect(parseCell('oops', '.')).toEqual({ value: Number.NaN, readable: false });
  });
});

describe('clockSeconds', () => {
  // Plain arithmetic of hours, minutes and seconds; the dates' day numbers follow ISO 8601's proleptic Gregorian calendar.
  it.each([
    ['00:00:01.500', 1.5],
    ['13:41:34.611', 13 * 3600 + 41 * 60 + 34.611],
    ['13:41:34,25', 13 * 3600 + 41 * 60 + 34.25],
    ['01:02.5', 62.5],
    ['1:05:00 PM', 13 * 3600 + 300],
    ['1970-01-02 00:00:00', 86400],
    ['2000-03-01T00:00:00', 951868800],
    ['01.03.2000 00:00:00', 951868800],
  ])('%s', (text, seconds) => {
    expect(clockSeconds(text)).toBeCloseTo(seconds, 6);
  });
  it.each(['', '12', '12:61:00', 'a:b:c', '2031-13-01 00:00:00'])('"%s" is no clock time', (text) => {
    expect(clockSeconds(text)).toBeNaN();
  });
});
