import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { drive, TEST_LEGS, USUAL_COLUMNS, written } from './test-drive.ts';

const text = written(drive(TEST_LEGS, 25, 12), USUAL_COLUMNS);
const whole = new TextEncoder().encode(text);

/** What must hold of any answer. */
const check = (bytes: Uint8Array): void => {
  const result = readLog(bytes, { assumedRateHz: 20 });
  if (!result.ok) {
    expect(result.problem.says).toMatch(/^\S.*[.]$/s);
    return;
  }
  const { log } = result;
  for (const channel of log.channels) {
    expect(channel.timesS.length).toBe(channel.values.length);
    for (let i = 0; i < channel.values.length; i++) {
      if (!Number.isFinite(channel.values[i]!) || (i > 0 && !(channel.timesS[i]! > channel.timesS[i - 1]!))) {
        throw new Error(`${channel.column}: reading ${i} is not finite or not later than the one before`);
      }
    }
  }
  for (const pull of log.pulls) {
    expect(pull.endS).toBeGreaterThan(pull.startS);
    expect(pull.shiftsS.length).toBe(pull.parts.length - 1);
  }
  expect(log.channels.length + log.unrecognised.length).toBe(log.table.columns.length);
};

describe('readLog', () => {
  it('never throws, whatever the bytes (property)', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => check(bytes)),
      { numRuns: 300 },
    );
  });
  it('never throws on text of numbers and marks (property)', () => {
    const piece = fc.constantFrom(
      '1',
      '22',
      '-0.5',
      '3,5',
      ',',
      ';',
      '\t',
      '\n',
      '\r\n',
      '"',
      'time',
      'rpm',
      'boost (psi)',
      ' ',
      '#',
      '12:00:01',
      'NaN',
      '1e999',
      '°',
      '|',
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 120 }), (pieces) => check(new TextEncoder().encode(pieces.join('')))),
      { numRuns: 400 },
    );
  });
  it('never throws on a good log with bytes changed, lost or cut off (property)', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(whole.length - 1), fc.nat(255)), { maxLength: 30 }),
        fc.nat(whole.length),
        (changes, length) => {
          const bytes = whole.slice(0, length);
          for (const [at, byte] of changes) if (at < length) bytes[at] = byte;
          check(bytes);
        },
      ),
      { numRuns: 150 },
    );
  });
  it('reads the same log from every way of writing it', () => {
    const plain = readLog(whole);
    if (!plain.ok) throw new Error(plain.problem.says);
    const quoted = text
      .split('\n')
      .map((line) =>
        line
          .split(',')
          .map((cell) => `"${cell}"`)
          .join(','),
      )
      .join('\r\n');
    const european = text.replaceAll(',', ';').replaceAll('.', ',');
    const tabbed = `# note\n${text.replaceAll(',', '\t')}\n`;
    const wide = new Uint8Array(text.length * 2);
    for (let i = 0; i < text.length; i++) wide[2 * i] = text.charCodeAt(i);
    for (const bytes of [quoted, european, tabbed].map((other) => new TextEncoder().encode(other)).concat(wide)) {
      const other = readLog(bytes);
      if (!other.ok) throw new Error(other.problem.says);
      expect(other.log.pulls).toEqual(plain.log.pulls);
      expect(other.log.channels.map(({ values }) => values)).toEqual(plain.log.channels.map(({ values }) => values));
    }
  });
  it('says which column is missing when there is no engine speed', () => {
    const result = readLog(new TextEncoder().encode('time,lambda\n0,1\n1,1\n2,1\n'));
    expect(result).toMatchObject({ ok: false, problem: { code: 'no-engine-speed' } });
  });
  it('reads twenty megabytes in the time a person does not notice', () => {
    const lines = text.split('\n');
    const body = lines.slice(1);
    const out: string[] = [lines[0]!];
    let size = 0;
    for (let k = 0; size < 20e6; k++) {
      for (const line of body) {
        const comma = line.indexOf(',');
        const row = `${(Number(line.slice(0, comma)) + k * 20).toFixed(3)}${line.slice(comma)}`;
        out.push(row);
        size += row.length + 1;
      }
    }
    const bytes = new TextEncoder().encode(out.join('\n'));
    const before = process.cpuUsage().user;
    const result = readLog(bytes);
    const cpuS = (process.cpuUsage().user - before) / 1e6;
    console.log(`20 MB of ${out.length} rows read, recognised and cut in ${cpuS.toFixed(2)} s of processor time`);
    expect(result.ok).toBe(true);
    // Twice the aim of the whole review, so that a busy machine does not fail it.
    expect(cpuS).toBeLessThan(6);
  });
});
