import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formulaOf } from './formula.ts';
import { untransposed } from './inflate.ts';
import type { GroupRecords } from './records.ts';
import type { ChannelPlan } from './tree.ts';
import { halfOf, valuesOf, whyNoNumbers } from './values.ts';

const channel = (over: Partial<ChannelPlan>): ChannelPlan => ({
  name: 'x',
  unit: '',
  type: 0,
  syncType: 0,
  dataType: 0,
  bitOffset: 0,
  byteOffset: 0,
  bitCount: 8,
  allInvalid: false,
  invalidationBit: null,
  conversion: 0,
  composition: 'none',
  ...over,
});
const one = (bytes: Uint8Array, plan: ChannelPlan): number => {
  const records = { bytes, start: 0, stride: bytes.length, count: 1, invalidation: null } as unknown as GroupRecords;
  return valuesOf(records, plan, null).values[0]!;
};

describe('raw values', () => {
  it('takes bits of any width from any place in either byte order, as text of bits does (property)', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 20, maxLength: 20 }),
        fc.integer({ min: 1, max: 64 }),
        fc.nat(7),
        fc.nat(9),
        fc.nat(3),
        (bytes, bitCount, bitOffset, byteOffset, dataType) => {
          const plan = channel({ bitCount, bitOffset, byteOffset, dataType });
          expect(whyNoNumbers(plan, bytes.length)).toBeNull();
          // The oracle works on text: the bytes as bits, most significant first, cut out and read as two's complement.
          const taken = [...bytes.subarray(byteOffset, byteOffset + Math.ceil((bitOffset + bitCount) / 8))];
          if (dataType % 2 === 0) taken.reverse();
          const text = taken.map((byte) => byte.toString(2).padStart(8, '0')).join('');
          const bits = text.slice(text.length - bitOffset - bitCount, text.length - bitOffset);
          const unsigned = BigInt(`0b${bits}`);
          const wanted = dataType >= 2 && bits.startsWith('1') ? unsigned - (1n << BigInt(bitCount)) : unsigned;
          expect(one(bytes, plan)).toBe(Number(wanted));
        },
      ),
      { numRuns: 500 },
    );
  });
  it('reads half precision (IEEE 754-2019 table 3.5: bias 15, 10 bits of fraction)', () => {
    // Values of the binary16 examples in the public summary of IEEE 754: 1, -2, 65504, smallest normal, smallest subnormal, 1/3.
    const bits = [0x3c00, 0xc000, 0x7bff, 0x0400, 0x0001, 0x3555];
    expect(bits.map(halfOf)).toEqual([1, -2, 65504, 2 ** -14, 2 ** -24, 0.333251953125]);
    expect([halfOf(0x7c00), halfOf(0xfc00), halfOf(0x7e00)]).toEqual([Infinity, -Infinity, Number.NaN]);
  });
  it('turns a transposed block back (property)', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 90 }), fc.integer({ min: 1, max: 12 }), (plain, columns) => {
        const rows = Math.floor(plain.length / columns);
        const stored = plain.slice();
        for (let row = 0; row < rows; row++)
          for (let column = 0; column < columns; column++) stored[column * rows + row] = plain[row * columns + column]!;
        expect(untransposed(stored, columns)).toEqual(plain);
      }),
    );
  });
  it('says why a channel holds no numbers', () => {
    expect(whyNoNumbers(channel({ dataType: 7 }), 8)).toBe('it holds text');
    expect(whyNoNumbers(channel({ type: 1 }), 8)).toContain('varying length');
    expect(whyNoNumbers(channel({ composition: 'array' }), 8)).toBe('it is an array');
    expect(whyNoNumbers(channel({ allInvalid: true }), 8)).toContain('invalid');
    expect(whyNoNumbers(channel({ byteOffset: 8 }), 8)).toBe('it lies outside its record');
    expect(whyNoNumbers(channel({ dataType: 4, bitCount: 24 }), 8)).toContain('24 bits');
  });
});

describe('formulaOf', () => {
  it.each([
    ['X', 3, 3],
    ['2*X+1', 3, 7],
    ['2+3*X^2', 2, 14],
    ['-X^2', 3, -9],
    ['2^3^2', 0, 512],
    ['(X-32)*5/9', 212, 100],
    ['1.5e2 / x1', 3, 50],
    ['sqrt(X) + abs(-2)', 9, 5],
    ['ln(exp(X))', 1.25, 1.25],
    ['log10(1000)', 0, 3],
    ['pow(X, 3)', 2, 8],
    ['8 - 3 - 2', 0, 3],
    ['12 / 3 / 2', 0, 2],
  ])('%s at %d is %d (school arithmetic: powers from the right, before a sign)', (text, x, wanted) => {
    expect(formulaOf(text)!(x)).toBeCloseTo(wanted, 12);
  });
  it.each(['', 'Y+1', '2*', '(X', 'X)', 'constructor(X)', 'X;X', 'X X', 'sin X', '1..2', '('.repeat(390)])(
    '"%s" is none',
    (text) => {
      expect(formulaOf(text)).toBeNull();
    },
  );
});
