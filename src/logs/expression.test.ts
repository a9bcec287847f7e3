/** Expressions: their values against JavaScript's own arithmetic (ECMA-262), their refusals in one sentence. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readExpression } from './expression.ts';

const computed = (text: string, ...numbers: number[]): number => {
  const read = readExpression(text);
  if (!read.ok) throw new Error(read.says);
  return read.expression.valueAt(numbers);
};
const refusal = (text: string): string => {
  const read = readExpression(text);
  if (read.ok) throw new Error(`"${text}" was let through`);
  return read.says;
};

describe('what an expression says', () => {
  it('takes channels with their units and columns in quotes, each once, in order', () => {
    const read = readExpression(
      '2 * Manifold-Pressure [kPa abs] - "AN 3 (V)" / manifold-pressure [kPa abs] + "AN 3 (V)"',
    );
    if (!read.ok) throw new Error(read.says);
    expect(read.expression.inputs).toEqual([
      {
        kind: 'channel',
        channel: 'manifold-pressure',
        unit: { unit: 'kPa', scale: 1, reference: 'absolute' },
        unitText: 'kPa abs',
      },
      { kind: 'column', column: 'AN 3 (V)' },
    ]);
    expect(read.expression.valueAt([10, 4])).toBe(2 * 10 - 4 / 10 + 4);
  });
  it.each([
    ['"a" + 2 * 3', 1, 1 + 2 * 3],
    ['-"a" ^ 2', 3, -(3 ** 2)],
    ['2 ^ 3 ^ "a"', 2, 2 ** (3 ** 2)],
    ['("a" - 4) * .5', 10, 3],
    ['abs("a")', -7.5, 7.5],
    ['min("a", 3, 9) + max("a", 3)', 5, 3 + 5],
    ['sqrt("a") + exp(0) - ln(1)', 16, 5],
    ['log10("a")', 1000, Math.log10(1000)],
    ['ln("a")', 1000, Math.log(1000)],
    ['1.5e3 / "a"', 3, 500],
  ])('%s', (text, a, wanted) => {
    expect(computed(text, a)).toBeCloseTo(wanted, 12);
  });
  it('agrees with JavaScript on random sums, products and powers (property)', () => {
    const leaf = fc.oneof(
      fc.constant({ text: '"x"', of: (x: number) => x }),
      fc.integer({ min: 0, max: 99 }).map((n) => ({ text: String(n), of: () => n })),
    );
    type Tree = { text: string; of: (x: number) => number };
    const tree: fc.Arbitrary<Tree> = fc.letrec<{ tree: Tree }>((tie) => ({
      tree: fc.oneof(
        { depthSize: 'small' },
        leaf,
        fc.tuple(tie('tree'), fc.constantFrom('+', '-', '*', '/'), tie('tree')).map(([a, sign, b]) => ({
          text: `(${a.text} ${sign} ${b.text})`,
          of: (x: number) =>
            sign === '+'
              ? a.of(x) + b.of(x)
              : sign === '-'
                ? a.of(x) - b.of(x)
                : sign === '*'
                  ? a.of(x) * b.of(x)
                  : a.of(x) / b.of(x),
        })),
      ),
    })).tree;
    fc.assert(
      fc.property(tree, fc.integer({ min: -50, max: 50 }), ({ text, of }, x) => {
        fc.pre(text.includes('"x"') && text.length < 600);
        expect(Object.is(computed(text, x), of(x)) || computed(text, x) === of(x)).toBe(true);
      }),
      { numRuns: 200, seed: 11 },
    );
  });
  it('has no number where arithmetic has none', () => {
    expect(Number.isFinite(computed('1 / "a"', 0))).toBe(false);
    expect(Number.isFinite(computed('sqrt("a")', -1))).toBe(false);
    expect(Number.isFinite(computed('"a" + 1', Number.NaN))).toBe(false);
  });
});

describe('what is refused, in one sentence', () => {
  it.each([
    ['', 'The expression is empty.'],
    ['1 + 2', 'The expression reads no channel and no column.'],
    ['(engine-speed [rpm] + 1', 'A closing bracket is missing.'],
    ['engine-speed [rpm] + 1)', 'A closing bracket has no opening one before it.'],
    [
      'engine-sped [rpm]',
      'There is no channel "engine-sped"; did you mean "engine-speed"? A column of the file goes in double quotes.',
    ],
    [
      'manifold-pressure * 2',
      'Say the unit that manifold-pressure is to be read in, in square brackets: manifold-pressure [...].',
    ],
    ['manifold-pressure [furlong]', '"furlong" after manifold-pressure is no unit that is known.'],
    ['"a" +', 'The expression breaks off or has two operators together.'],
    ['"a" * / 2', 'The expression breaks off or has two operators together.'],
    ['2 "a"', 'Between two of its parts an operator is missing.'],
    ['"a" "b"', 'Between two of its parts an operator is missing.'],
    ['sqrt "a"', expect.stringMatching(/operator is missing|arguments in brackets/)],
    ['sqrt("a", 2)', 'sqrt takes 1 argument, not 2.'],
    ['min("a")', 'min takes 2 to 8 arguments, not 1.'],
    ['sqr("a")', '"sqr" is no channel and no function; did you mean "sqrt"?'],
    ['"a', 'A quote is opened and not closed.'],
    ['"a" = 3', '"=" has no meaning in an expression; use + - * / ^ and brackets.'],
    ['"a" > 3', '">" has no meaning in an expression; use + - * / ^ and brackets.'],
    ['"a" % 3', '"%" has no meaning in an expression; use + - * / ^ and brackets.'],
    ['"a" ; 3', '";" has no meaning in an expression; use + - * / ^ and brackets.'],
    ['"a" + c0', expect.stringContaining('"c0" is no channel')],
    [`"a"${' + 1'.repeat(200)}`, 'The expression is longer than 600 characters.'],
  ])('%s', (text, says) => {
    expect(refusal(text)).toEqual(says);
  });
  it.each([
    'f(x) = "a"',
    'import("a")',
    'constructor("a")',
    '"a".constructor',
    'evaluate("a")',
    '[1, 2, "a"]',
    '{a: "a"}',
    'parse("a")',
    '\'x\' + "a"',
    '"a" ? 1 : 2',
    '"a"!',
    'e + "a"',
    'i * "a"',
    'unit("a")',
  ])('nothing of the language behind it: %s', (text) => {
    expect(refusal(text)).toMatch(/\.$|\?$/);
  });
  it('whatever is typed: a function or a sentence, never a throw (property)', () => {
    const word = fc.constantFrom(
      'engine-speed [rpm]',
      '"a"',
      '(',
      ')',
      '+',
      '-',
      '*',
      '/',
      '^',
      '2',
      '.',
      'min',
      ',',
      'sqrt(',
      '1e9',
      ' ',
      '[',
      ']',
      '"',
      'é',
      '\n',
      'ln(',
    );
    fc.assert(
      fc.property(
        fc.array(word, { maxLength: 40 }).map((words) => words.join('')),
        (text) => {
          const read = readExpression(text);
          if (read.ok) expect(typeof read.expression.valueAt([1, 2, 3])).toBe('number');
          else expect(read.says.endsWith('.') || read.says.endsWith('?')).toBe(true);
        },
      ),
      { numRuns: 1500, seed: 5 },
    );
  });
});
