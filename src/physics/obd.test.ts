import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import { decodeObd, isObdSupported, OBD_PARAMETERS, troubleCode } from './obd.ts';
import { expectSolved } from './reason.ts';

const J1979 = 'SAE J1979, public tables';
const value = (parameter: number, ...data: number[]): number => expectSolved(decodeObd(parameter, data)).value;

describe('service 01, outside values', () => {
  runCheckRows([
    { id: 'OB-01', source: J1979, expected: 1726, absolute: 0, got: () => value(0x0c, 0x1a, 0xf8) },
    { id: 'OB-02', source: J1979, expected: 83, absolute: 0, got: () => value(0x05, 0x7b) },
    { id: 'OB-03', source: J1979, expected: 101, absolute: 0, got: () => value(0x0b, 0x65) },
    { id: 'OB-04', source: J1979, expected: 4, absolute: 0, got: () => value(0x10, 0x01, 0x90) },
    { id: 'OB-05', source: J1979, expected: 8, absolute: 0, got: () => value(0x0e, 0x90) },
    { id: 'OB-06', source: J1979, expected: -12.5, absolute: 0, got: () => value(0x06, 0x70) },
    { id: 'OB-07', source: J1979, expected: -40, absolute: 0, got: () => value(0x0f, 0x00) },
    { id: 'OB-08', source: J1979, expected: 100, absolute: 0, got: () => value(0x04, 0xff) },
    { id: 'OB-09', source: J1979, expected: 50.196, absolute: 0.01, got: () => value(0x11, 0x80) },
    { id: 'OB-10', source: J1979, expected: 0.8, absolute: 1e-4, got: () => value(0x34, 0x66, 0x66, 0x80, 0x00) },
    { id: 'OB-11', source: J1979, expected: 1, absolute: 0, got: () => value(0x44, 0x80, 0x00) },
    { id: 'OB-12', source: J1979, expected: 14, absolute: 0, got: () => value(0x42, 0x36, 0xb0) },
    { id: 'OB-15', source: `${J1979} (from memory)`, expected: 600, absolute: 0, got: () => value(0x1f, 0x02, 0x58) },
  ]);
  it('OB-13 (SAE J2012, from memory): 01 33 is P0133', () => {
    expect(expectSolved(troubleCode(0x01, 0x33))).toBe('P0133');
    expect(expectSolved(troubleCode(0xc1, 0x00))).toBe('U0100');
    expect(troubleCode(256, 0)).toMatchObject({ ok: false });
  });
  it('OB-14 (SAE J1979, from memory): BE 1F A8 13 supports 0C and not 02', () => {
    const mask = [0xbe, 0x1f, 0xa8, 0x13];
    expect(isObdSupported(mask, 0x0c)).toBe(true);
    expect(isObdSupported(mask, 0x02)).toBe(false);
    expect(isObdSupported(mask, 0)).toBe(false);
    expect(isObdSupported(mask, 33)).toBe(false);
    expect(isObdSupported(mask, 0x2c, 0x20)).toBe(true);
  });
});

describe('service 01', () => {
  it('is finite for any bytes, in SI too, and refuses what it does not know', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.keys(OBD_PARAMETERS).map(Number)),
        fc.array(fc.integer({ min: 0, max: 255 }), { minLength: 4, maxLength: 4 }),
        (parameter, data) => {
          const got = expectSolved(decodeObd(parameter, data));
          expect(Number.isFinite(got.value) && Number.isFinite(got.valueSi)).toBe(true);
        },
      ),
    );
    expect(decodeObd(0x0c, [1])).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(decodeObd(0x0c, [1, 300])).toMatchObject({ ok: false });
    expect(decodeObd(0xff, [1])).toMatchObject({ ok: false });
    expect(expectSolved(decodeObd(0x05, [0x7b])).valueSi).toBeCloseTo(356.15, 9);
  });
});
